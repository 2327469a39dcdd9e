#!/bin/bash
#SBATCH --job-name=sweep
#SBATCH --array=1-8
#SBATCH --cpus-per-task=1
#SBATCH --requeue
#SBATCH --output=slurm-%A-%a.out
#SBATCH --open-mode=append
#
# A sweep as a job array: each task does one part of the rows, into a folder
# that all nodes see. A task that is thrown off its node and queued again goes
# on where it was. Afterwards, on any node:
#
#     sweep merge -out rows.csv rows
#     sweep summary rows
sweep=sweep
design=design.json
rows=rows

exec "$sweep" -design "$design" -out "$rows" \
	-shard "$SLURM_ARRAY_TASK_ID/$SLURM_ARRAY_TASK_COUNT" \
	-workers "$SLURM_CPUS_PER_TASK"
