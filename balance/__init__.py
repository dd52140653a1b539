"""heavyspot: the computations of a shop that balances rotating assemblies.

The rooms stand in the order of the work: :mod:`balance.job`, :mod:`balance.parts`,
:mod:`balance.engine`, :mod:`balance.spin`, :mod:`balance.metal`, :mod:`balance.sheet`. The names
most often needed can be imported from here; each loads only its own room.
"""

from balance._lazy import front_door

__version__ = "0.1.0"

__getattr__, __all__ = front_door(
    "balance",
    {
        "vectors": ("amount", "degrees", "fold", "turn", "vector"),
        "job.load": ("read_job", "read_text"),
        "parts.weighing": ("Weight", "average"),
        "parts.rods": ("RodEnds", "rod_ends", "rod_from_centre"),
        "parts.swing": ("rod_from_swing",),
        "parts.matching": ("match_each", "match_sets", "partition"),
        "engine.layouts": ("Cylinder", "Engine", "Throw", "layout"),
        "engine.motion": ("harmonics", "piston"),
        "engine.shaking": ("shake",),
        "engine.bobweights": ("needed", "per_throw"),
        "engine.factors": ("residual_primary",),
        "engine.as_built": ("existing_factor",),
        "engine.placing": ("place",),
        "spin.machine": ("Machine", "Reading", "from_crank", "to_crank"),
        "spin.conventions": ("identify",),
        "spin.influence": ("coefficients", "correction", "from_amplitudes"),
        "spin.planes": ("static_and_couple", "transfer"),
        "spin.tolerance": ("allocate", "judge", "permissible"),
        "spin.indexing": ("best_positions", "separate"),
        "metal.holes": ("axial_hole", "depth_for", "radial_hole", "slug", "web_mm"),
        "metal.planning": ("Counterweight", "DrilledHole", "SlugChoice", "plan"),
        "metal.staging": ("stage",),
        "sheet.results": ("Results",),
    },
    modules=("engine", "errors", "job", "metal", "parts", "sheet", "spin", "units", "vectors"),
)
