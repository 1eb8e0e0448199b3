"""Heat in closed form: half spaces, slabs, films, discs (scipy.special, quad), and
one painted sheet stepped by FiPy.

Cells no wider than 1/28 of the diffusion length err by about its square, 0.13 %;
beneath the surface a straight line between cell middles adds as much again. On
5 mm cells an independent finite-volume solver lies up to 0.44 % from the thin-sheet
forms; near the rim of a running pad half a cell of it counts, so 1 %.
"""

import math
import os

import numpy as np
from scipy import integrate, special, stats

from question import close

STEEL, ALUMINIUM, PLASTIC = [700, 50, 7850, 470], [1000, 190, 2700, 900], [3000, 0.25, 1050, 1800]


def ierfc(x):
    return math.exp(-x * x) / math.sqrt(math.pi) - x * math.erfc(x)


def through_depth(layers, cells, flux, seconds, **more):
    asked = dict(layers=layers, depth_cells=cells, flux_w_m2=flux, duration_s=seconds, step_s=seconds / 400)
    return asked | dict(loss_outside_w_m2k=0, loss_inside_w_m2k=0, output="surface") | more


def half_space(dice):
    questions = []
    for _ in range(4):
        flux, seconds = round(dice.uniform(500, 9000)), round(dice.uniform(1, 6), 2)
        k, rho, c = (float(v) for v in (dice.uniform(0.15, 0.4), dice.uniform(900, 1400), dice.uniform(1200, 2000)))
        alpha = k / (rho * c)
        rise = lambda x: 2 * flux * math.sqrt(alpha * seconds) / k * ierfc(x / (2 * math.sqrt(alpha * seconds)))
        asked = through_depth([[8_000, k, rho, c]], [1000], flux, seconds)
        questions.append(close("heat_through_depth", asked, rise(0), 0.002))
        depth = math.sqrt(alpha * seconds)
        questions.append(close("heat_through_depth", asked | dict(output="depth", depth_mm=depth * 1e3), rise(depth), 0.004))
    return questions


def slab_rise(x, flux, seconds, depth, k, alpha):
    n = np.arange(1, 400)
    series = ((-1.0) ** n / n**2 * np.exp(-((n * math.pi / depth) ** 2) * alpha * seconds) * np.cos(n * math.pi * x / depth)).sum()
    return flux * alpha * seconds / (k * depth) + flux * depth / k * ((3 * x**2 - depth**2) / (6 * depth**2) - 2 / math.pi**2 * series)


def slab(dice):
    questions = []
    for seconds in [5.0, 30.0, 200.0]:
        um, flux = round(dice.uniform(1500, 4000)), round(dice.uniform(1000, 8000))
        depth, k, alpha = um * 1e-6, 0.25, 0.25 / (1050 * 1800)
        asked = through_depth([[um, 0.25, 1050, 1800]], [200], flux, seconds)
        questions.append(close("heat_through_depth", asked, slab_rise(depth, flux, seconds, depth, k, alpha), 0.002))
        back = slab_rise(0.0, flux, seconds, depth, k, alpha)
        questions.append(close("heat_through_depth", asked | dict(output="depth", depth_mm=um * 1e-3), back, 0.004))
    return questions


def film_on_metal(dice):
    questions = []
    for metal in [[60_000, 50, 7850, 470], [120_000, 190, 2700, 900]]:
        for seconds in [0.02, 0.3]:
            um, k, flux = round(dice.uniform(60, 160)), 0.22, round(dice.uniform(2000, 8000))
            alpha = k / (1250 * 1450)
            film, under = math.sqrt(k * 1250 * 1450), math.sqrt(metal[1] * metal[2] * metal[3])
            beta, reach = (film - under) / (film + under), math.sqrt(alpha * seconds)
            images = sum(beta**n * ierfc(n * um * 1e-6 / reach) for n in range(1, 400))
            rise = 2 * flux * reach / k * (1 / math.sqrt(math.pi) + 2 * images)
            asked = through_depth([[um, k, 1250, 1450], metal], [120, 200], flux, seconds)
            questions.append(close("heat_through_depth", asked, rise, 0.002))
    return questions


def steady_resistances(dice):
    questions = []
    for _ in range(3):
        film = [[round(dice.uniform(15, 70)), round(dice.uniform(0.18, 0.35), 3), 1250, 1450] for _ in range(3)]
        loss, flux = round(dice.uniform(10, 40), 1), round(dice.uniform(300, 1500))
        layers = [*film, STEEL]
        rise = flux * (1 / loss + sum(layer[0] * 1e-6 / layer[1] for layer in layers))
        asked = through_depth(layers, [3, 3, 3, 2], flux, 6000.0, step_s=2.0, loss_inside_w_m2k=loss)
        film_k = flux * sum(layer[0] * 1e-6 / layer[1] for layer in film)
        # One percent of what the film itself adds, and six digits of the rest.
        questions.append(close("heat_through_depth", asked, rise, 1e-6 + 0.01 * film_k / rise))
    return questions


def disc_job(metal, seconds, **more):
    asked = dict(layers=[metal], depth_cells=[1], flux_w_m2=6000, disc_radius_mm=62.5, duration_s=seconds, step_s=0.05)
    asked |= dict(panel_mm=400, panel_height_mm=400, cell_mm=5, loss_outside_w_m2k=15, loss_inside_w_m2k=0)
    return asked | dict(speed_mm_s=0, beside_mm=0) | more


def sheet(metal):
    um, k, rho, c = metal
    return k / (rho * c), rho * c * um * 1e-6, k * um * 1e-6


def standing_disc(dice):
    questions = []
    for metal in [STEEL, ALUMINIUM]:
        alpha, heat, _ = sheet(metal)
        for seconds in [2.0, 7.0, 20.0, *dice.uniform(5, 40, 2).round(1)]:
            grows = lambda s: (1 - math.exp(-(0.0625**2) / (4 * alpha * s))) * math.exp(-15 * s / heat)
            rise = 6000 / heat * integrate.quad(grows, 0, seconds, epsabs=1e-10)[0]
            questions.append(close("heat_of_disc", disc_job(metal, float(seconds)), rise, 0.005))
    return questions


def steady_disc(_dice):
    questions = []
    for metal in [STEEL, ALUMINIUM]:
        _, _, spread = sheet(metal)
        m, a = math.sqrt(15 / spread), 0.0625
        for beside in [0.0, 0.03, 0.0625, 0.1]:
            if beside <= a:
                rise = 6000 / 15 * (1 - m * a * special.k1(m * a) * special.i0(m * beside))
            else:
                rise = 6000 / 15 * m * a * special.i1(m * a) * special.k0(m * beside)
            asked = disc_job(metal, 2000.0, beside_mm=beside * 1e3, step_s=0.1)
            questions.append(close("heat_of_disc", asked, rise, 0.005))
    return questions


def running_disc(dice):
    """Instantaneous discs along the run; each has spread to a share of its
    heat that a noncentral chi-squared distribution gives."""
    questions = []
    for metal, speed in [(STEEL, 25.4), (STEEL, 60.0), (ALUMINIUM, 40.0)]:
        alpha, heat, _ = sheet(metal)
        seconds = round(500 / speed, 2)
        for beside in [0.0, -50.0, -75.0, round(dice.uniform(-70, 20), 1)]:

            def left_of(s):
                away = beside * 1e-3 + speed * 1e-3 * s
                share = stats.ncx2.cdf(0.0625**2 / (2 * alpha * s), 2, away**2 / (2 * alpha * s))
                return share * math.exp(-15 * s / heat)

            # The share steps down where the pad has gone by.
            gone = [(0.0625 + sign * beside * 1e-3) / (speed * 1e-3) for sign in (-1, 1)]
            points = sorted(p for p in (abs(g) for g in gone) if 1e-3 < p < seconds)
            rise = 6000 / heat * integrate.quad(left_of, 1e-9, seconds, points=points, limit=400, epsabs=1e-7)[0]
            asked = disc_job(metal, seconds, speed_mm_s=speed, beside_mm=beside, panel_mm=900, panel_height_mm=300, step_s=0.02)
            # Half a cell at the rim of the pad, where the rise is steep.
            questions.append(close("heat_of_disc", asked, rise, 0.01))
    return questions


def line_source(dice):
    """80 W through a disc of a millimetre, which widens the wake by 0.2 to 0.4 %."""
    questions = []
    for loss in [0.0, float(round(dice.uniform(5, 40)))]:
        beside, speed = -float(round(dice.uniform(35, 55))), 25.4
        alpha, _, spread = sheet(STEEL)
        half = speed * 1e-3 / (2 * alpha)
        # exp(-half r) and the scaled K0 together neither overflow nor vanish.
        reach = math.sqrt(half**2 + loss / spread) * -beside * 1e-3
        rise = 80 / (2 * math.pi * spread) * math.exp(half * -beside * 1e-3 - reach) * special.k0e(reach)
        asked = disc_job(STEEL, 6.0, speed_mm_s=speed, beside_mm=beside, panel_mm=260, panel_height_mm=80, cell_mm=1, step_s=0.01)
        asked |= dict(flux_w_m2=80 / (math.pi * 1e-6), disc_radius_mm=1, loss_outside_w_m2k=loss)
        questions.append(close("heat_of_disc", asked, rise, 0.006))
    return questions


def fipy_disc(layers, seconds, side, a, flux):
    """Surface at the centre of a disc by FiPy: a quarter of the panel, steps of
    0.05 s, implicit in all three directions."""
    os.environ["FIPY_SOLVERS"] = "scipy"  # before FiPy looks for other suites
    import fipy

    n, steps = 30, round(seconds / 0.05)
    dx = side / 2 / n
    dz = [um * 1e-6 / parts for um, _, _, _, parts in layers for _ in range(parts)]
    k = np.repeat([layer[1] for layer in layers], [layer[4] for layer in layers])
    heat = np.repeat([layer[2] * layer[3] for layer in layers], [layer[4] for layer in layers])
    mesh = fipy.Grid3D(dx=dx, dy=dx, dz=dz, nx=n, ny=n, nz=len(dz))
    rise = fipy.CellVariable(mesh=mesh, value=0.0, hasOld=True)
    on_cells = lambda column: fipy.CellVariable(mesh=mesh, value=np.repeat(column, n * n))
    fine = (np.arange(n * 8) + 0.5) * dx / 8
    inside = (np.hypot(fine[:, None], fine[None, :]) < a).reshape(n, 8, n, 8).mean(axis=(1, 3))
    inside *= math.pi * a * a / 4 / (inside.sum() * dx * dx)
    source = np.zeros((len(dz), n, n))
    source[0] = flux * inside / dz[0]
    into = fipy.CellVariable(mesh=mesh, value=source.ravel())
    equation = fipy.TransientTerm(on_cells(heat)) == fipy.DiffusionTerm(on_cells(k).harmonicFaceValue) + into
    solver = fipy.LinearPCGSolver(tolerance=1e-8, iterations=2000, precon=None)
    for _ in range(steps):
        rise.updateOld()
        equation.solve(var=rise, dt=seconds / steps, solver=solver)
    # From the middle of the first cell to the face.
    return float(np.asarray(rise.value)[0]) + flux * dz[0] / 2 / k[0]


def against_fipy(_dice):
    """A painted sheet under a small standing disc. FiPy steps with first order:
    halving its step moves its answer by 0.1 %, half as many cells again by 0.01 %."""
    questions = []
    for sheet_metal in [STEEL, ALUMINIUM]:
        layers = [[110, 0.22, 1250, 1450, 4], [*sheet_metal, 2]]
        rise = fipy_disc(layers, 2.0, 0.09, 0.015, 8000)
        asked = disc_job(None, 2.0, panel_mm=90, panel_height_mm=90, cell_mm=1.5, step_s=0.02)
        asked |= dict(layers=[layer[:4] for layer in layers], depth_cells=[layer[4] for layer in layers])
        asked |= dict(flux_w_m2=8000, disc_radius_mm=15, loss_outside_w_m2k=0)
        del asked["speed_mm_s"], asked["beside_mm"]
        questions.append(close("heat_under_disc", asked, rise, 0.005))
    return questions


def running_band(dice):
    questions = []
    for speed in [20.0, 60.0, float(round(dice.uniform(30, 120)))]:
        alpha, band = 0.25 / (1050 * 1800), 0.125
        rise = 2 * 6000 / 0.25 * math.sqrt(alpha * band / (math.pi * speed * 1e-3))
        seconds = round(1.6 * band / (speed * 1e-3), 3)
        asked = dict(layers=[PLASTIC], depth_cells=[100], flux_w_m2=6000, band_mm=125, cell_mm=1, speed_mm_s=speed)
        asked |= dict(duration_s=seconds, step_s=seconds / 800, loss_outside_w_m2k=0, loss_inside_w_m2k=0)
        questions.append(close("heat_of_band", asked, rise, 0.01))
    return questions


GROUPS = [
    ("heat into a half space (math.erfc)", half_space),
    ("heat into a sheet with an insulated back (series)", slab),
    ("heat through film on metal (images)", film_on_metal),
    ("steady heat through film and metal (resistances)", steady_resistances),
    ("standing pad on a thin sheet (scipy.integrate.quad)", standing_disc),
    ("steady pad on a thin sheet (scipy.special Bessel)", steady_disc),
    ("running pad on a thin sheet (scipy.stats.ncx2, quad)", running_disc),
    ("running line source in a plate (scipy.special.k0e)", line_source),
    ("painted sheet under a small pad (FiPy)", against_fipy),
    ("running band on plastic (closed form)", running_band),
]
