#!/usr/bin/env bash
# Eight parts of a study, run by a real Slurm as a job array and gathered, are the table of one run
# byte for byte.
#
# Needs root on a Debian machine or container that runs no Slurm of its own, and the program built
# with --release. Installs slurmctld, slurmd, slurm-client and munge from Debian, runs them from a
# folder of its own without systemd, and stops them again. Takes about a minute; not part of
# .ci/run, for it installs packages.
set -euo pipefail
cd "$(dirname "$0")/../.."
program=$PWD/target/release/clavibeam
study=$PWD/models/studies/nail-canal-gap.toml
[ "$(id -u)" = 0 ] || { echo "must be root: Slurm's daemons start jobs as their users"; exit 2; }
[ -x "$program" ] || { echo "build first: cargo build --release"; exit 2; }

packages=(slurmctld slurmd slurm-client munge)
dpkg --status "${packages[@]}" >/dev/null 2>&1 || {
    apt-get update -qq
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${packages[@]}"
}

work=$(mktemp -d)
chmod 755 "$work"
munge=$work/munge
started=()
stop() {
    for ((i = ${#started[@]} - 1; i >= 0; i--)); do kill "${started[$i]}" 2>/dev/null || true; done
    wait 2>/dev/null || true
    rm -rf "$work"
}
trap stop EXIT

# Credentials between the daemons: munge with a key of its own.
install -d -o munge -g munge -m 755 "$munge"
dd if=/dev/urandom of="$munge/key" bs=1024 count=1 status=none
chown munge "$munge/key"
chmod 400 "$munge/key"
runuser -u munge -- munged --foreground --force --key-file="$munge/key" --socket="$munge/socket" \
    --pid-file="$munge/pid" --log-file="$munge/log" --seed-file="$munge/seed" >/dev/null 2>&1 &
started+=($!)

# One machine that is controller and node.
host=$(hostname -s)
export SLURM_CONF=$work/slurm.conf
mkdir "$work/state" "$work/spool"
cat >"$SLURM_CONF" <<END
ClusterName=one
SlurmctldHost=$host(127.0.0.1)
SlurmctldPort=16817
SlurmdPort=16818
SlurmUser=root
AuthType=auth/munge
AuthInfo=socket=$munge/socket
CredType=cred/munge
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.pid
SlurmctldLogFile=$work/slurmctld.log
SlurmdLogFile=$work/slurmd.log
ProctrackType=proctrack/pgid
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
MpiDefault=none
ReturnToService=2
NodeName=$host NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES State=UP
END
printf 'CgroupPlugin=cgroup/v1\nCgroupAutomount=no\n' >"$work/cgroup.conf"
slurmctld -D >/dev/null 2>&1 &
started+=($!)
slurmd -D >/dev/null 2>&1 &
started+=($!)
for ((i = 0; i < 30; i++)); do
    sinfo --noheader --format=%t 2>/dev/null | grep -q idle && break
    sleep 1
done
sinfo

# The recipe of models/studies/README.md.
mkdir "$work/run"
cd "$work/run"
cat >job.sh <<END
#!/bin/bash
#SBATCH --array=1-8
#SBATCH --cpus-per-task=1
#SBATCH --output=log-%a.txt
$program sweep $study --part \$SLURM_ARRAY_TASK_ID/8 --threads 1 --out \$SLURM_ARRAY_TASK_ID.part
END
sbatch --wait job.sh
cat log-*.txt
"$program" gather ./*.part --out joined.csv
"$program" sweep "$study" --out whole.csv
cmp <(sort whole.csv) <(sort joined.csv)
cmp whole.csv joined.csv
cmp whole.csv.meta.json joined.csv.meta.json
echo "8 parts by a Slurm job array = 1 run, byte for byte: $(($(wc -l <whole.csv) - 1)) rows"
