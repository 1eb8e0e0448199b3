"""Some steps of the reference heat case with implicit steps in all directions.

The same cells, step and pad as `heat_numpy.py`, split by direction: along x and
y in the steel with scipy's banded solver, through the depth by the same
elimination as there. This is what one writes who wants no limit on the step
sideways. Runs a part of the 7,636 steps and says what the whole would take.

Run: python3 heat_adi.py [steps]    (default 150)
"""
import sys
import time

import numpy as np
from scipy.linalg import solve_banded

import heat_numpy as twin


def main():
    steps = int(sys.argv[1]) if len(sys.argv) > 1 else 150
    n, real = twin.N, np.float64
    dx, dt = twin.SIZE / n, twin.PASS * twin.PASSES / twin.STEPS
    own, carried, upper, half, pivot = twin.eliminated(dt)
    source = half / (half + twin.H_OUT) * pivot
    across = 50.0 / (7850 * 470) * dt / dx**2
    band = np.zeros((3, n))
    band[0, 1:] = band[2, :-1] = -across
    band[1] = 1 + 2 * across
    band[1, [0, -1]] = 1 + across
    depths = len(own)
    t = np.zeros((depths, n, n), real)
    pad, entered, peak = twin.Pad(dx), 0.0, 0.0
    start, cpu = time.perf_counter(), time.process_time()
    for step in range(steps):
        rows, columns, flux = pad.flux(*twin.place((step + 0.5) * dt), real)
        steel = t[-5:]
        along = solve_banded((1, 1), band, steel.transpose(2, 0, 1).reshape(n, -1), check_finite=False)
        steel = along.reshape(n, 5, n).transpose(2, 1, 0).reshape(n, -1)
        t[-5:] = solve_banded((1, 1), band, steel, check_finite=False).reshape(n, 5, n).transpose(1, 0, 2)
        t[0] *= own[0]
        t[0, rows, columns] += source * flux
        for z in range(1, depths):
            t[z] = own[z] * t[z] + carried[z] * t[z - 1]
        for z in range(depths - 2, -1, -1):
            t[z] += upper[z] * t[z + 1]
        surface = t[0, rows, columns] * (half / (half + twin.H_OUT)) + flux / (half + twin.H_OUT)
        peak = max(peak, surface.max())
        entered += flux.sum() * dx * dx * dt
    seconds, cpu = time.perf_counter() - start, time.process_time() - cpu
    print(f"ADI with scipy, float64: {steps} steps in {seconds:.2f} s ({cpu:.2f} s of processor), "
          f"{1e3 * seconds / steps:.2f} ms a step; the whole section would take {seconds / steps * twin.STEPS:.0f} s")
    print(f"hottest so far {peak:.3f} K; energy in {entered:.0f} J")
    print("\n".join(twin.section(steps, real)[1]))


if __name__ == "__main__":
    main()
