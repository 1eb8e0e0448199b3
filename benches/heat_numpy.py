"""The reference heat case in numpy: the same cells and steps as the Rust kernel.

One section of 0.61 m, clear 45 um in three cells, base 15 um, primer 35 um in
two, e-coat 20 um, steel 0.7 mm in five; 120 x 120 columns; four cross-hatched
passes of a 125 mm rotary pad at 25.4 mm/s, 40 N, 1500 rpm, friction share 0.3;
7,636 steps, backward Euler through the depth, explicit in the plane.

Written the way numpy is fastest at it: the matrix of a column is the same for
all of them, so it is eliminated once; a step is two sweeps over twelve planes
of 14,400 columns with all work done in place, and the sideways step is taken
in the steel only, as in the kernel. The pad is laid on the cells by differences
of its running double sum, as in the kernel. In single precision (the kernel's)
and in double (numpy's own).

And once more the way one writes it first: whole-array expressions in double
precision, every layer conducting sideways, the right side and both sweeps of the
elimination as they stand in a textbook. The same cells, steps, pad and law.

Run: python3 heat_numpy.py [steps] [single|double|plain]    (default: 7636, all; best of three)
"""
import sys
import time

import numpy as np

SIZE, RADIUS, SPEED, LINES, PASSES = 0.61, 0.0625, 0.0254, 9, 4
N, STEPS, RUNS = 120, 7636, 3
LAYERS = [(45e-6, 0.20, 1200 * 1500, 3), (15e-6, 0.25, 1300 * 1400, 1), (35e-6, 0.30, 1400 * 1300, 2),
          (20e-6, 0.25, 1300 * 1400, 1), (700e-6, 50.0, 7850 * 470, 5)]
H_OUT, H_IN = 10.0, 5.0
LINE = SIZE - 2 * RADIUS
PASS = (LINES + 1) * LINE / SPEED
GAP = LINE / (LINES - 1)


def place(t):
    """Where the pad is: there and back over the lines, every second pass turned."""
    n = min(int(t / PASS), PASSES - 1)
    run = (t - n * PASS) * SPEED
    line = min(int(run / (LINE + GAP)), LINES - 1)
    run -= line * (LINE + GAP)
    along = min(run, LINE)
    along = along if line % 2 == 0 else LINE - along
    u, v = RADIUS + along, RADIUS + line * GAP + min(max(run - LINE, 0.0), GAP)
    return (u, v) if n % 2 == 0 else (v, u)


def double_sum(cells=128):
    """Running double sum of the pad's flux in W at the corners of its table."""
    edge = (np.arange(cells) + 0.5 - cells / 2) * 2 * RADIUS / cells
    r = np.hypot(edge[None, :], edge[:, None])
    factor = 0.3 * 40 * 1500 * 2 * np.pi / 60
    power = np.where(r < RADIUS, r, 0.0)
    power *= factor * 2 / 3 * RADIUS / power.sum()
    corners = np.zeros((cells + 1, cells + 1))
    corners[1:, 1:] = power.cumsum(0).cumsum(1)
    return corners


class Pad:
    """Lays the pad on the cells it touches: exact area shares at any offset."""

    def __init__(self, dx):
        self.corners, self.dx = double_sum(), dx
        self.cells = self.corners.shape[0] - 1

    def lookup(self, centre):
        low = max(int((centre - RADIUS) / self.dx), 0)
        high = min(int(np.ceil((centre + RADIUS) / self.dx)), N)
        at = (np.arange(low, high + 1) * self.dx - centre) / (2 * RADIUS) * self.cells + self.cells / 2
        at = np.clip(at, 0, self.cells)
        cell = np.minimum(at.astype(np.intp), self.cells - 1)
        return slice(low, high), cell, at - cell

    def flux(self, x, y, real):
        columns, i, fx = self.lookup(x)
        rows, j, fy = self.lookup(y)
        c = self.corners
        part = c[j][:, i] * (1 - fx) + c[j][:, i + 1] * fx
        upper = c[j + 1][:, i] * (1 - fx) + c[j + 1][:, i + 1] * fx
        s = part * (1 - fy)[:, None] + upper * fy[:, None]
        return rows, columns, (np.diff(np.diff(s, axis=0), axis=1) / self.dx**2).astype(np.float32)


def eliminated(dt):
    """Thomas factors of the column's matrix, the same for all columns."""
    dz = np.concatenate([[d / n] * n for d, _, _, n in LAYERS])
    k = np.concatenate([[k] * n for _, k, _, n in LAYERS])
    c = np.concatenate([[rc * d / n] * n for d, _, rc, n in LAYERS]) / dt
    half = 2 * k / dz
    link = 1 / (1 / half[:-1] + 1 / half[1:])
    top, bottom = half[0] * H_OUT / (half[0] + H_OUT), half[-1] * H_IN / (half[-1] + H_IN)
    diagonal = c + np.append(link, bottom) + np.append(top, link)
    pivot, upper = np.empty_like(c), np.empty_like(c)
    for z in range(len(c)):
        lower = link[z - 1] * upper[z - 1] if z else 0.0
        pivot[z] = 1 / (diagonal[z] - lower)
        upper[z] = link[z] * pivot[z] if z < len(link) else 0.0
    return c * pivot, np.append(0.0, link) * pivot, upper, half[0], pivot[0]


def section(steps, real, best=None):
    dx, dt = SIZE / N, PASS * PASSES / STEPS
    own, carried, upper, half, pivot = [np.asarray(a, real) for a in eliminated(dt)]
    source = real(half / (half + H_OUT) * pivot)
    of_cell, of_flux = real(half / (half + H_OUT)), real(1 / (half + H_OUT))
    metal = real(50.0 / (7850 * 470) * dt / dx**2)
    depths = len(own)
    t = np.zeros((depths, N, N), real)
    room, flow = np.empty((N, N), real), np.empty((5, N, N), real)
    across, surface, peak = np.empty((5, N, N), real), np.empty((N, N), real), np.zeros((N, N), real)
    pad, peaks, entered = Pad(dx), np.zeros(PASSES), 0.0
    start, cpu = time.perf_counter(), time.process_time()
    for step in range(steps):
        rows, columns, flux = pad.flux(*place((step + 0.5) * dt), real)
        # Sideways in the steel.
        steel = t[-5:]
        np.subtract(steel[:, :, 1:], steel[:, :, :-1], out=across[:, :, 1:])
        np.subtract(steel[:, 1:], steel[:, :-1], out=flow[:, 1:])
        across[:, :, 1:] *= metal
        flow[:, 1:] *= metal
        steel[:, :, :-1] += across[:, :, 1:]
        steel[:, :, 1:] -= across[:, :, 1:]
        steel[:, :-1] += flow[:, 1:]
        steel[:, 1:] -= flow[:, 1:]
        # Down and up through the depth.
        t[0] *= own[0]
        t[0, rows, columns] += source * flux
        for z in range(1, depths):
            t[z] *= own[z]
            np.multiply(t[z - 1], carried[z], out=room)
            t[z] += room
        for z in range(depths - 2, -1, -1):
            np.multiply(t[z + 1], upper[z], out=room)
            t[z] += room
        # The true surface.
        np.multiply(t[0], of_cell, out=surface)
        surface[rows, columns] += of_flux * flux
        np.maximum(peak, surface, out=peak)
        number = min(int((step + 0.5) * dt / PASS), PASSES - 1)
        peaks[number] = max(peaks[number], surface[rows, columns].max())
        entered += float(flux.sum()) * dx * dx * dt
    seconds, cpu = time.perf_counter() - start, time.process_time() - cpu
    if best is not None and seconds > best[0]:
        return best
    name = np.dtype(real).name
    told = [f"numpy {np.__version__}, {name}, in place: {steps} steps in {seconds:.2f} s ({cpu:.2f} s of processor), "
          f"{steps * N * N * depths / seconds:.2e} cell-steps/s",
            f"peak rises after passes: {' '.join(f'{p:.2f}' for p in peaks)} K; energy in {entered:.0f} J"]
    return seconds, told


def plain_section(steps, best=None):
    """The same section as one writes it first."""
    dx, dt = SIZE / N, PASS * PASSES / STEPS
    dz = np.concatenate([[d / n] * n for d, _, _, n in LAYERS])
    k = np.concatenate([[k] * n for _, k, _, n in LAYERS])
    heat = np.concatenate([[rc] * n for _, _, rc, n in LAYERS])
    c, half = heat * dz / dt, 2 * k / dz
    link = 1 / (1 / half[:-1] + 1 / half[1:])
    top, bottom = half[0] * H_OUT / (half[0] + H_OUT), half[-1] * H_IN / (half[-1] + H_IN)
    diagonal = c + np.append(link, bottom) + np.append(top, link)
    sideways = (k / heat * dt / dx**2)[:, None, None]
    factor, pivot = np.empty_like(c), np.empty_like(c)
    for z in range(len(c)):
        pivot[z] = diagonal[z] - (link[z - 1] * factor[z - 1] if z else 0.0)
        factor[z] = (link[z] if z < len(link) else 0.0) / pivot[z]
    t, peak = np.zeros((len(c), N, N)), np.zeros((N, N))
    pad, peaks, entered = Pad(dx), np.zeros(PASSES), 0.0
    start, cpu = time.perf_counter(), time.process_time()
    for step in range(steps):
        rows, columns, part = pad.flux(*place((step + 0.5) * dt), np.float64)
        flux = np.zeros((N, N))
        flux[rows, columns] = part
        around = np.pad(t, ((0, 0), (1, 1), (1, 1)), mode="edge")
        moved = around[:, 1:-1, :-2] + around[:, 1:-1, 2:] + around[:, :-2, 1:-1] + around[:, 2:, 1:-1] - 4 * t
        right = c[:, None, None] * (t + sideways * moved)
        right[0] += half[0] / (half[0] + H_OUT) * flux
        right[0] /= pivot[0]
        for z in range(1, len(c)):
            right[z] = (right[z] + link[z - 1] * right[z - 1]) / pivot[z]
        t[-1] = right[-1]
        for z in range(len(c) - 2, -1, -1):
            t[z] = right[z] + factor[z] * t[z + 1]
        surface = (half[0] * t[0] + flux) / (half[0] + H_OUT)
        peak = np.maximum(peak, surface)
        number = min(int((step + 0.5) * dt / PASS), PASSES - 1)
        peaks[number] = max(peaks[number], surface.max())
        entered += flux.sum() * dx * dx * dt
    seconds, cpu = time.perf_counter() - start, time.process_time() - cpu
    if best is not None and seconds > best[0]:
        return best
    told = [f"numpy {np.__version__}, plain, float64: {steps} steps in {seconds:.2f} s ({cpu:.2f} s of processor), "
            f"{steps * N * N * len(c) / seconds:.2e} cell-steps/s",
            f"peak rises after passes: {' '.join(f'{p:.2f}' for p in peaks)} K; energy in {entered:.0f} J"]
    return seconds, told


def main():
    steps = int(sys.argv[1]) if len(sys.argv) > 1 else STEPS
    kinds = {
        "single": lambda best: section(steps, np.float32, best),
        "double": lambda best: section(steps, np.float64, best),
        "plain": lambda best: plain_section(steps, best),
    }
    for run in [kinds[sys.argv[2]]] if len(sys.argv) > 2 else kinds.values():
        best = None
        for _ in range(RUNS):
            best = run(best)
        print("\n".join(best[1]))


if __name__ == "__main__":
    main()
