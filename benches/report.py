"""Puts the outputs of the benchmarks together as BENCHMARKS.md.

Reads the files `ours`, `scaling`, `numpy`, `adi` and `fipy` of a folder and
prints the page; refuses when a figure is missing.

Run: python3 report.py folder    (see ./bench)
"""
import datetime
import os
import pathlib
import platform
import re
import subprocess
import sys

import numpy
import scipy

STEPS, CELLS = 7636, 172_800
# Counted in the source: nine a cell in the elimination, seven in the sideways
# step of five cells in twelve, six in the reading of the surface; of these five,
# five and four are additions or comparisons.
FLOPS_A_CELL_STEP = 9 + 7 * 5 / 12 + 6 / 12
ADDITIONS_A_CELL_STEP = 5 + 5 * 5 / 12 + 4 / 12
# The state is read and written once.
BYTES_A_CELL_STEP = 8
GOAL_NUMPY, GOAL_FIPY = 25, 1000


def found(pattern, text):
    hit = re.search(pattern, text)
    if not hit:
        sys.exit(f"no figure for {pattern!r} in the output; the page was not written")
    return [float(group) for group in hit.groups()]


def machine():
    lines = pathlib.Path("/proc/cpuinfo").read_text().splitlines()
    cpu = next((line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")), platform.machine())
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    release = pathlib.Path("/etc/os-release")
    told = release.read_text() if release.exists() else ""
    system = re.search(r'PRETTY_NAME="(.*)"', told)
    rust = subprocess.run(["rustc", "--version"], capture_output=True, text=True, check=True).stdout.split()[1]
    return (f"{cpu}, {os.cpu_count()} processors, {memory:.0f} GB of memory, {system[1] if system else platform.system()}, "
            f"Linux {platform.release()}, rustc {rust}, Python {platform.python_version()}, numpy {numpy.__version__}, scipy {scipy.__version__}")


def main():
    folder = pathlib.Path(sys.argv[1])
    ours, scaling, single, adi, fipy = [(folder / name).read_text() for name in ("ours", "scaling", "numpy", "adi", "fipy")]
    timing = r"([\d.]+) s \(([\d.]+) s"
    one = found(r"first order\s+1 thread\(s\): " + timing, ours)
    two = found(r"first order\s+2 thread\(s\): " + timing, ours)
    float32 = found(r"float32.*? in " + timing, single)
    float64 = found(r"float64, in place.*? in " + timing, single)
    plain = found(r"plain, float64.*? in " + timing, single)
    adi_ms, fipy_s = found(r"([\d.]+) ms a step", adi)[0], found(r"steps, ([\d.]+) s a step", fipy)[0]
    adi_cpu, fipy_cpu = found(r"s \(([\d.]+) s of processor\), [\d.]+ ms", adi)[0], found(r"([\d.]+) s of processor", fipy)[0]
    adi_steps = found(r"float64: (\d+) steps", adi)[0]
    rows = [
        ("ours, one thread, single precision", one, "whole"),
        ("ours, two threads, single precision", two, "whole"),
        ("numpy, one elimination for all columns, single precision", float32, "whole"),
        ("the same, double precision", float64, "whole"),
        ("numpy, as one writes it first, double precision", plain, "whole"),
        ("scipy banded solves in all directions, double precision", (adi_ms * 1e-3 * STEPS, adi_cpu / adi_steps * STEPS), f"{adi_steps:.0f} steps, scaled up"),
        ("FiPy, conjugate gradients, double precision", (fipy_s * STEPS, fipy_cpu * STEPS), "a few steps, scaled up"),
    ]
    load = os.getloadavg()[0]
    print("# Benchmarks\n")
    print(f"Written by `./bench` on {datetime.date.today()}: {machine()}.")
    print(f"Load when it ended: {load:.1f}." + (" Other work was running: wall times are too long, processor times less so." if load > 2.5 else ""))
    print("\n## The same cells and steps everywhere\n")
    print("One steel section of 0.61 m, four cross-hatched passes, 120 x 120 x 12 cells, 7,636 steps of first")
    print("order. Ours and numpy: best of three runs. FiPy solves a general problem on a general mesh; nobody")
    print("would write this case in it for speed.\n")
    print("| program | run | wall, s | processor, s | against our two threads, wall | against our one thread, processor |")
    print("|---|---|---:|---:|---:|---:|")
    for name, (wall, cpu), how in rows:
        print(f"| {name} | {how} | {wall:.2f} | {cpu:.2f} | {wall / two[0]:.1f} | {cpu / one[1]:.1f} |")
    verdict = lambda reached, goal: f"{reached:.1f}, {'reached' if reached >= goal else 'missed'}"
    told = {"as one writes it first": plain, "worked out for speed": float64, "the same in single precision": float32}
    print(f"\nGoal: {GOAL_NUMPY} times the vectorised numpy (named as about 10 s of processor) on two threads. " +
          "; ".join(f"{how}: {verdict(wall / two[0], GOAL_NUMPY)}" for how, (wall, _) in told.items()) + ".")
    print(f"Goal: {GOAL_FIPY} times FiPy: {verdict(fipy_s * STEPS / two[0], GOAL_FIPY)}.")
    print("\n## Against what the machine can do\n")
    print(f"Counted in the source: {FLOPS_A_CELL_STEP:.1f} operations, {ADDITIONS_A_CELL_STEP:.1f} of them additions, and at least {BYTES_A_CELL_STEP} bytes a cell-step. The")
    print("kernel uses no fused multiply-adds, so that its bits are the same on any machine: as many additions a second")
    print("as the machine does fused ones (half its peak) are the most it could reach, which sets the shortest time.\n")
    print("| threads | cell-steps/s | Gflop/s | peak | share | shortest by additions, s | reached | GB/s of state | second-level cache | share | memory |")
    print("|---:|---:|---:|---:|---:|---:|---:|---:|---:|---:|---:|")
    for threads, wall in ((1, one[0]), (2, two[0])):
        memory, cache, peak = found(rf"machine on {threads} thread\(s\): memory ([\d.]+) GB/s, second-level cache ([\d.]+) GB/s, multiply-adds ([\d.]+)", scaling)
        speed = STEPS * CELLS / wall
        flops, gigabytes = FLOPS_A_CELL_STEP * speed * 1e-9, BYTES_A_CELL_STEP * speed * 1e-9
        shortest = STEPS * CELLS * ADDITIONS_A_CELL_STEP / (0.5e9 * peak)
        print(f"| {threads} | {speed:.2e} | {flops:.1f} | {peak:.0f} | {100 * flops / peak:.0f} % | {shortest:.3f} | {100 * shortest / wall:.0f} % | {gigabytes:.1f} | {cache:.0f} | {100 * gigabytes / cache:.0f} % | {memory:.0f} |")
    print("\n## How the cost grows\n")
    print("Steps of 0.1 s, every column at every step. Exponents are slopes through the logarithms; 1 is linear, for")
    print("threads -1 would be ideal.\n")
    print("| columns | passes | threads | wall, s | processor, s | cell-steps/s |")
    print("|---|---:|---:|---:|---:|---:|")
    for line in re.findall(r"(\d+ x \d+) x 12, (\d) pass\(es\), (\d) thread\(s\): ([\d.]+) s \(([\d.]+) s of processor\), (\S+) cell", scaling):
        print("| " + " | ".join(line) + " |")
    for over in ("cells", "passes", "threads"):
        print(f"{chr(10) if over == 'cells' else ''}- exponent over the {over}: {found(rf'exponent over the {over}: (-?[0-9.]+)', scaling)[0]:.2f}")
    print("\n## Answers as a user gets them\n")
    print("Short steps near the pad and long ones elsewhere, with two coarser runs for the stated error.\n")
    print("| answer | threads | wall, s | processor, s | cells | hottest, K over the start | stated error, K |")
    print("|---|---:|---:|---:|---|---:|---:|")
    answer = r"(interactive|full)\s+(\d) thread\(s\): ([\d.]+) s \(([\d.]+) s of processor\), (.*?) cells, .*?, ([\d.]+)\] K, stated error ([\d.]+) K"
    for line in re.findall(answer, ours):
        print("| " + " | ".join(line) + " |")
    kilobytes = found(r"most memory: (\d+) kB", ours)[0]
    print(f"\nMost memory of all these runs together: {kilobytes / 1024:.0f} MB (allowed: 60 MB).")
    print("\n## The whole output\n\n```")
    print("".join([ours, scaling, single, adi, fipy]).rstrip())
    print("```")


if __name__ == "__main__":
    main()
