"""heavyspot prove: does the machine count the way the job file says?"""

from cli.arguments import AsJson, JobFile


def prove(job: JobFile, json: AsJson = False) -> int:
    """Prove how the machine counts, from spins with a known mass at a known place."""
    from balance.job.load import read_job
    from balance.spin.proof_steps import prove_job
    from cli.printing import print_json
    from cli.show_proof import show_proof

    read = read_job(job)
    proved = prove_job(read)
    if json:
        print_json(proved)
    else:
        show_proof(read, proved)
    return 0 if proved.proven else 1
