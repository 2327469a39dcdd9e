#!/bin/bash
# Runs examples/sweep as a job array of a real Slurm on this one machine, kills
# one of its tasks on the way, and compares the merged rows with those of a
# single run, byte by byte. Needs root and Debian's packages:
#
#     apt-get install -y --no-install-recommends slurm-wlm munge
#     internal/crosscheck/slurm/run.sh
#
# Everything listens on 127.0.0.1 and lives in a folder that is removed at the
# end; only what was started here is ended. Not part of CI.
set -euo pipefail
cd "$(dirname "$0")/../../.."
root=$PWD
dir=$(mktemp -d)
pids=()
cleanup() {
	for p in "${pids[@]}"; do kill "$p" 2>/dev/null || true; done
	for p in "${pids[@]}"; do wait "$p" 2>/dev/null || true; done
	rm -rf "$dir"
}
trap cleanup EXIT
chmod 755 "$dir"
mkdir -p "$dir"/{munge,ctl,node,log}
chmod 711 "$dir/munge"

go -C examples build -o "$dir/sweep" ./sweep

# The node takes part under the name this machine has and the address of the
# loopback; two processors are enough to see two tasks run at a time.
name=$(hostname -s)
cpus=$(nproc)
cat > "$dir/slurm.conf" <<CONF
ClusterName=yard
SlurmctldHost=$name(127.0.0.1)
SlurmctldAddr=127.0.0.1
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
CryptoType=crypto/munge
AuthInfo=socket=$dir/munge/socket
SlurmctldPort=16817
SlurmdPort=16818
StateSaveLocation=$dir/ctl
SlurmdSpoolDir=$dir/node
SlurmctldPidFile=$dir/ctl.pid
SlurmdPidFile=$dir/node.pid
SlurmctldLogFile=$dir/log/ctl
SlurmdLogFile=$dir/log/node
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
MpiDefault=none
SchedulerType=sched/backfill
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
ReturnToService=2
SwitchType=switch/none
NodeName=$name NodeAddr=127.0.0.1 CPUs=$cpus State=UNKNOWN
PartitionName=yard Nodes=$name Default=YES MaxTime=INFINITE State=UP OverSubscribe=NO
CONF
cp "$dir/slurm.conf" "$dir/node/slurm.conf"
export SLURM_CONF=$dir/slurm.conf

head -c 128 /dev/urandom > "$dir/munge/key"
chmod 400 "$dir/munge/key"
munged --foreground --force --key-file="$dir/munge/key" --socket="$dir/munge/socket" \
	--pid-file="$dir/munge/pid" --seed-file="$dir/munge/seed" --log-file="$dir/munge/log" 2> "$dir/log/munge" &
pids+=($!)
for _ in $(seq 50); do [ -S "$dir/munge/socket" ] && break; sleep 0.1; done
slurmctld -D -f "$SLURM_CONF" > "$dir/log/ctl.out" 2>&1 &
pids+=($!)
slurmd -D -N "$name" -f "$SLURM_CONF" > "$dir/log/node.out" 2>&1 &
pids+=($!)
for i in $(seq 100); do
	if sinfo -h -o %T 2>/dev/null | grep -q idle; then break; fi
	[ "$i" = 100 ] && { echo "the node did not come up"; tail -n 20 "$dir"/log/*; exit 1; }
	sleep 0.2
done
sinfo

# The script that a user would submit; only the name of the program differs.
sed "s|^sweep=.*|sweep=$dir/sweep|" "$root/examples/sweep/cluster/slurm.sh" > "$dir/job.sh"
cd "$dir"
./sweep demo | sed 's/"samples": 1024/"samples": 30000/' > design.json
job=$(sbatch --parsable --array=1-8 --requeue job.sh)
echo "job $job"
# One task is thrown off its node and queued again, as a lost node or a more
# urgent job does it.
for _ in $(seq 600); do [ -n "$(compgen -G 'rows/chunk-*')" ] && break; sleep 0.05; done
if scontrol requeue "${job}_1"; then
	echo "task 1 was thrown off with $(compgen -G 'rows/chunk-*' | wc -l) chunks finished by all tasks"
fi
for i in $(seq 600); do
	[ -z "$(squeue -h -j "$job" 2>/dev/null)" ] && break
	sleep 0.5
done
squeue
cat slurm-*.out
./sweep merge -out array.csv rows
./sweep -design design.json -out one -summary=false
./sweep merge -out one.csv one
cmp array.csv one.csv
echo "the array's $(($(wc -l < array.csv) - 1)) rows are those of a single run, byte by byte"
