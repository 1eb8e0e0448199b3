"""A few steps of the reference heat case in FiPy, a general-purpose library.

Same section, layers, cells (120 x 120 x 12), step and moving pad as
`heat_numpy.py`; FiPy steps it implicitly in all three directions with its
conjugate gradient solver. Losses to the air act on the outermost and innermost
cells. Prints seconds a step and what the cells hold, beside a numpy twin of the
same steps, so that the two can be compared before they are timed.

Run: python3 heat_fipy.py [steps]    (default 5)
"""
import os
import sys
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # its threads only get in the way at this size

import numpy as np

try:
    import fipy
except ImportError:
    sys.exit("FiPy is not installed: pip install fipy. The other benchmarks do not need it.")

import heat_numpy as twin


def main():
    steps = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    dx, dt = twin.SIZE / twin.N, twin.PASS * twin.PASSES / twin.STEPS
    dz = np.concatenate([[d / n] * n for d, _, _, n in twin.LAYERS])
    k = np.concatenate([[k] * n for _, k, _, n in twin.LAYERS])
    rc = np.concatenate([[rc] * n for _, _, rc, n in twin.LAYERS])
    depths, plane = len(dz), twin.N * twin.N
    mesh = fipy.Grid3D(dx=dx, dy=dx, dz=list(dz), nx=twin.N, ny=twin.N, nz=depths)
    t = fipy.CellVariable(mesh=mesh, value=0.0, hasOld=True)
    capacity = fipy.CellVariable(mesh=mesh, value=np.repeat(rc, plane))
    conductivity = fipy.CellVariable(mesh=mesh, value=np.repeat(k, plane)).harmonicFaceValue
    loss = np.zeros((depths, plane))
    for z, h in ((0, twin.H_OUT), (depths - 1, twin.H_IN)):
        half = 2 * k[z] / dz[z]
        loss[z] = half * h / (half + h) / dz[z]
    sink = fipy.CellVariable(mesh=mesh, value=loss.ravel())
    source = fipy.CellVariable(mesh=mesh, value=0.0)
    equation = fipy.TransientTerm(capacity) == fipy.DiffusionTerm(conductivity) + source - fipy.ImplicitSourceTerm(sink)
    # Its Jacobi preconditioner costs more here than it saves: plain conjugate gradients are the fairer opponent.
    solver = fipy.LinearPCGSolver(tolerance=1e-8, iterations=1000, precon=None)
    pad, half = twin.Pad(dx), 2 * k[0] / dz[0]
    seconds, cpu, entered = [], 0.0, 0.0
    for step in range(steps):
        rows, columns, flux = pad.flux(*twin.place((step + 0.5) * dt), np.float64)
        field = np.zeros((depths, twin.N, twin.N))
        field[0, rows, columns] = flux * half / (half + twin.H_OUT) / dz[0]
        source.setValue(field.ravel())
        t.updateOld()
        start, used = time.perf_counter(), time.process_time()
        equation.solve(var=t, dt=dt, solver=solver)
        seconds.append(time.perf_counter() - start)
        cpu += time.process_time() - used
        entered += flux.sum() * dx * dx * dt
    held = float((np.asarray(t.value) * np.repeat(rc * dz, plane)).sum() * dx * dx)
    print(f"FiPy {fipy.__version__}: {steps} steps, {np.mean(seconds):.3f} s a step (first {seconds[0]:.3f}, last {seconds[-1]:.3f}; {cpu / steps:.3f} s of processor), "
          f"{plane * depths / np.mean(seconds):.2e} cell-steps/s; the whole section would take {np.mean(seconds) * twin.STEPS / 60:.0f} min")
    print(f"energy in {entered:.4f} J, held {held:.4f} J; hottest cell {float(np.max(t.value)):.4f} K")
    print("\n".join(twin.section(steps, np.float64)[1]))


if __name__ == "__main__":
    main()
