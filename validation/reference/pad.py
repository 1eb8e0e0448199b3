"""Pad, speed and removal by plain integration (scipy.special, scipy.integrate)."""

import math

import numpy as np
from scipy import integrate, optimize, special

from question import Question, close


def elliptic(dice):
    questions = []
    for m in [0.0, 1.0, 0.999999, *dice.uniform(0, 1, 20)]:
        questions.append(Question("elliptic_e", {"parameter": float(m)}, float(special.ellipe(m)), 1e-12))
    for _ in range(20):
        a, b = (float(v) for v in dice.uniform(0, 8, 2))
        mean = integrate.quad(lambda turn: math.hypot(a + b * math.cos(turn), b * math.sin(turn)), 0, math.pi, epsabs=1e-13)[0]
        questions.append(close("turning_pair_mean", {"a_m_s": a, "b_m_s": b}, mean / math.pi, 1e-9))
    return questions


def orbital(dice):
    return {
        "machine": "random_orbital",
        "orbit_radius_mm": round(dice.uniform(2, 10.5), 2),
        "orbit_opm": round(dice.uniform(2500, 6000)),
        "spin_rpm": round(dice.uniform(-500, 500)),
    }


def speeds(dice):
    """Mean over many turns of the velocity itself, from the motion as drawn."""
    questions = []
    turns = (np.arange(4096) + 0.5) / 4096 * 2 * math.pi
    for _ in range(20):
        machine, distance = orbital(dice), dice.uniform(0, 75)
        orbit, spin = machine["orbit_opm"] * math.pi / 30, machine["spin_rpm"] * math.pi / 30
        radius, r = machine["orbit_radius_mm"] * 1e-3, distance * 1e-3
        centre = radius * np.exp(1j * turns)
        centre_speed = 1j * orbit * centre
        # A place of the panel at distance r from the orbit's middle.
        on_panel = np.abs(centre_speed + 1j * spin * (r - centre))
        # A point of the pad meets every phase between orbit and spin alike.
        by_phase = np.abs(radius * orbit + spin * r * np.exp(1j * turns)).mean()
        asked = machine | {"distance_mm": float(distance)}
        questions.append(close("rub_speed_at", asked | {"seen_from": "pad"}, by_phase, 1e-7))
        questions.append(close("rub_speed_at", asked | {"seen_from": "panel"}, on_panel.mean(), 1e-7))
    return questions


def pad_means(dice):
    questions = []
    turns = (np.arange(720) + 0.5) / 720 * 2 * math.pi
    for _ in range(8):
        machine, radius = orbital(dice), dice.uniform(30, 90) * 1e-3
        a, spin = machine["orbit_radius_mm"] * 1e-3 * machine["orbit_opm"] * math.pi / 30, machine["spin_rpm"] * math.pi / 30
        ring = lambda r: 2 * r / radius**2 * np.abs(a + spin * r * np.exp(1j * turns)).mean()
        mean = integrate.quad(ring, 0, radius, epsabs=1e-12)[0]
        asked = machine | {"pad_radius_mm": radius * 1e3}
        questions.append(close("pad_speed", asked | {"output": "mean"}, mean, 1e-6))
        square = lambda r: 2 * r / radius**2 * (np.abs(a + spin * r * np.exp(1j * turns)) ** 2).mean()
        rms = math.sqrt(integrate.quad(square, 0, radius, epsabs=1e-12)[0])
        questions.append(close("pad_speed", asked | {"output": "rms"}, rms, 1e-8))
    return questions


def leaning(eccentricity):
    """Peak over mean, depth and share in contact, by integrating p ~ (x - c)."""
    chord = lambda x: 2 * math.sqrt(max(0.0, 1 - x * x))

    def moments(c):
        low = max(c, -1.0)
        # x = sin(u) takes the steep ends of the chord away.
        over = lambda f: integrate.quad(lambda u: f(math.sin(u)) * chord(math.sin(u)) * math.cos(u), math.asin(low), math.pi / 2, epsabs=1e-11, epsrel=1e-11)[0]
        return over(lambda x: x - c), over(lambda x: x * (x - c)), over(lambda x: 1.0)

    def off(c):
        load, moment, _ = moments(c)
        return moment / load - eccentricity

    c = optimize.brentq(off, -100.0, 0.995, xtol=1e-15, rtol=1e-14)
    load, _, area = moments(c)
    return math.pi * (1 - c) / load, min(2.0, 1 - c), area / math.pi


def eccentric_disc(dice):
    questions = []
    for e in [0.05, 0.2, *dice.uniform(0.26, 0.93, 15)]:
        for output, value in zip(["max_over_mean", "depth_radii", "contact_frac"], leaning(float(e)), strict=True):
            questions.append(close("leaning_disc", {"eccentricity_frac": float(e), "output": output}, value, 1e-7))
    return questions


def rotary_setting(dice):
    return {
        "cut_rate_per_pa": float(dice.uniform(1e-12, 3e-11)),
        "force_n": round(dice.uniform(15, 70), 1),
        "spin_rpm": round(dice.uniform(600, 2500)),
        "arm_speed_mm_s": round(dice.uniform(10, 150), 1),
        "pad_radius_mm": round(dice.uniform(25, 90), 1),
        "hole_radius_mm": round(dice.uniform(0, 20), 1),
    }


def dug_nm(setting, beside_mm, feed):
    """Depth by integrating pressure times speed along the chord."""
    radius, hole, y = (setting["pad_radius_mm"] * 1e-3, setting["hole_radius_mm"] * 1e-3, beside_mm * 1e-3)
    spin, arm = setting["spin_rpm"] * math.pi / 30, setting["arm_speed_mm_s"] * 1e-3
    pressure = setting["force_n"] / (math.pi * (radius**2 - hole**2))
    shift = arm / spin if feed else 0.0
    rub = lambda x: spin * math.hypot(x, y - shift)
    chord = lambda r: math.sqrt(max(0.0, r * r - y * y))
    along = 2 * integrate.quad(rub, chord(hole), chord(radius), epsabs=1e-15, epsrel=1e-12)[0]
    return setting["cut_rate_per_pa"] * pressure / arm * along * 1e9


def straight_passes(dice):
    questions = []
    for _ in range(25):
        setting, beside = rotary_setting(dice), float(dice.uniform(-90, 90))
        asked = setting | {"beside_mm": beside}
        questions.append(close("rotary_pass_depth_nm", asked | {"output": "beside"}, dug_nm(setting, beside, False), 1e-8, 1e-9))
        questions.append(close("rotary_pass_depth_nm", asked | {"output": "beside_with_feed"}, dug_nm(setting, beside, True), 1e-8, 1e-9))
        questions.append(close("rotary_pass_depth_nm", setting | {"output": "at_centre"}, dug_nm(setting, 0.0, False), 1e-8))
        spacing = float(dice.uniform(20, 120))
        # The area under the profile, with the order of integration exchanged.
        radius, hole = setting["pad_radius_mm"] * 1e-3, setting["hole_radius_mm"] * 1e-3
        spin, arm = setting["spin_rpm"] * math.pi / 30, setting["arm_speed_mm_s"] * 1e-3
        volume = integrate.quad(lambda r: 2 * math.pi * r * spin * r, hole, radius)[0] * setting["force_n"] / (math.pi * (radius**2 - hole**2))
        mean_um = setting["cut_rate_per_pa"] * volume / arm / (spacing * 1e-3) * 1e6
        questions.append(close("rotary_lines_mean_um", setting | {"spacing_mm": spacing}, mean_um, 1e-9))
    return questions


def profile(machine, y):
    chord = np.sqrt(np.maximum(0, 1 - y * y))
    if machine == "stalled_orbital":
        return 2 * chord
    away = np.maximum(np.abs(y), 1e-300)
    return chord + y * y * np.arcsinh(chord / away)


def evenness(dice):
    questions = []
    for machine in ["rotary", "stalled_orbital"]:
        for spacing in dice.uniform(0.2, 1.0, 8):
            pitch, places = 2 * float(spacing), 200_001
            y = np.linspace(-pitch / 2, pitch / 2, places)
            depth = sum(profile(machine, y + line * pitch) for line in range(-8, 9))
            mean = np.trapezoid(depth, y) / pitch
            variation = math.sqrt(np.trapezoid((depth - mean) ** 2, y) / pitch) / mean
            asked = {"machine": machine, "spacing_over_diameter": float(spacing)}
            # The rim is a cusp: it is found to a step of the finer of both grids.
            for output, value, tolerance in [("max_over_mean", depth.max() / mean, 1e-4), ("variation", variation, 1e-4), ("min_over_mean", depth.min() / mean, 0.02)]:
                questions.append(Question("line_evenness", asked | {"output": output}, float(value), tolerance))
    return questions


def map_in_the_middle(_dice):
    """The swept map against the sum of the closed profiles of its lines."""
    questions = []
    radius, side, arm = 62.5, 610.0, 25.4
    for overlap, spin in [(0.5, 1500), (0.6, 1100), (0.35, 1900)]:
        run = side - 2 * radius
        gaps = math.ceil(run / (2 * radius * (1 - overlap)) - 1e-9)
        spacing = run / gaps
        lines = radius + spacing * np.arange(gaps + 1) - side / 2
        half = 1.5 * spacing
        y = np.linspace(-half, half, 4001)
        scale = 5e-12 * 40 / (math.pi * (radius * 1e-3) ** 2) * spin * math.pi / 30 / (arm * 1e-3)
        depth = sum(scale * (radius * 1e-3) ** 2 * profile("rotary", (y - line) / radius) for line in lines) * 1e6
        mean = np.trapezoid(depth, y) / (2 * half)
        variation = math.sqrt(np.trapezoid((depth - mean) ** 2, y) / (2 * half)) / mean
        asked = dict(section_mm=side, pad_radius_mm=radius, overlap_frac=overlap, margin="pad_inside", arm_speed_mm_s=arm)
        asked |= dict(passes=1, force_n=40, spin_rpm=spin, cut_rate_per_pa=5e-12, pressure_cell_mm=1.25, cells=488)
        asked |= dict(half_window_mm=half, hatch="parallel")
        # A window of whole cells differs from the exact one by up to a cell in each side.
        questions.append(close("removal_middle", asked | {"output": "mean_um"}, mean, 0.006))
        questions.append(close("removal_middle", asked | {"output": "max_um"}, depth.max(), 0.006))
        questions.append(Question("removal_middle", asked | {"output": "variation"}, variation, 0.006))
    return questions


def breakdown(dice):
    questions = []
    for _ in range(10):
        floor, fading, work = dice.uniform(0, 1), dice.uniform(1e3, 1e5), dice.uniform(1e2, 4e5)
        mean = integrate.quad(lambda w: floor + (1 - floor) * math.exp(-w / fading), 0, work, epsabs=1e-12, limit=200)[0] / work
        asked = {"spent_frac": float(floor), "fading_work_j": float(fading), "work_j": float(work)}
        questions.append(close("abrasive_mean_frac", asked, mean, 1e-8))
    return questions


SETUP = """
[panel]
size = ["0.5 m", "0.5 m"]
in_plane = "insulated"
convection_outside = "10 W/m2K"
convection_inside = "5 W/m2K"
layers = [{{ name = "steel", thickness = "0.7 mm" }}]
[machine]
{machine}
[pad]
diameter = "{diameter} mm"
[touch]
force = "{force} N"
eccentricity = {e}
direction = "{turn} deg"
[abrasive]
cut_rate = "1e-12 1/Pa"
friction_share = 0.001
[stroke]
{stroke}
[[probe]]
x = "{x} mm"
y = "{y} mm"
[heat]
cells = [8, 8, 4]
step = "0.2 s"
"""


def leaning_pressure(force, radius, e):
    """Pressure under a disc on a bed that cannot pull, along the lean (m)."""
    mean = force / (math.pi * radius**2)
    if e <= 0.25:
        return lambda along: mean * (1 + 4 * e * along / radius)

    def integrals(edge):
        chord = lambda x: 2 * math.sqrt(1 - x * x)
        return [integrate.quad(lambda x: chord(x) * (x - edge) * x**n, edge, 1, epsabs=1e-13)[0] for n in (0, 1)]

    edge = optimize.brentq(lambda c: integrals(c)[1] / integrals(c)[0] - e, -1, 0.999, xtol=1e-13)
    slope = mean * math.pi / integrals(edge)[0]
    return lambda along: max(0.0, slope * (along / radius - edge))


def bench_probes(dice):
    """Depth at one point of a setup file, from the motion itself."""
    questions = []
    for number in range(16):
        diameter, force = float(dice.integers(60, 200)), float(dice.integers(15, 70))
        radius, e, turn = diameter / 2000, float(dice.uniform(0, 0.7)), float(dice.uniform(-180, 180))
        pressure, lean = leaning_pressure(force, radius, e), math.radians(turn)
        x, y = (float(v) for v in 250 + dice.uniform(-0.6, 0.6, 2) * radius * 1000)
        along = lambda px, py: px * math.cos(lean) + py * math.sin(lean)
        if number % 2:
            rpm, arm = float(dice.integers(600, 2200)), float(dice.integers(20, 90))
            spin = rpm * math.pi / 30
            machine = f'kind = "rotary"\nspeed = "{rpm} rpm"'
            stroke = f'pattern = "line"\narm_speed = "{arm} mm/s"\nmargin = "-{diameter / 2} mm"'
            beside = y / 1000 - 0.25
            half = math.sqrt(radius**2 - beside**2)
            rub = lambda u: pressure(along(u, beside)) * math.hypot(arm / 1000 - spin * beside, spin * u)
            kinks = [u for u in np.linspace(-half, half, 4001)[1:-1] if pressure(along(u, beside)) > 0]
            inside = sorted({-half, 0.0, half, *(kinks[:1] + kinks[-1:])})
            dug = sum(integrate.quad(rub, a, b, epsabs=1e-13, limit=400)[0] for a, b in zip(inside, inside[1:])) / (arm / 1000)
        else:
            e = min(e, 0.25)
            pressure = leaning_pressure(force, radius, e)
            opm, spin_rpm, orbit = float(dice.integers(2500, 6000)), float(dice.integers(-200, 200)), float(dice.integers(6, 21))
            machine = f'kind = "random-orbital"\nspeed = "{opm} opm"\norbit = "{orbit} mm"\nspin = "{spin_rpm} rpm"'
            stroke = 'pattern = "still"\nduration = "3 s"'
            place = complex(x - 250, y - 250) * 1e-3 * 0.5
            x, y = 250 + place.real * 1000, 250 + place.imag * 1000
            turns = (np.arange(20_000) + 0.5) / 20_000 * 2 * math.pi
            centre = orbit / 2000 * np.exp(1j * turns)
            speed = np.abs(1j * opm * math.pi / 30 * centre + 1j * spin_rpm * math.pi / 30 * (place - centre))
            away = place - centre
            dug = 3 * float(np.mean([pressure(along(p.real, p.imag)) * v for p, v in zip(away, speed)]))
        text = SETUP.format(machine=machine, diameter=diameter, force=force, e=e, turn=turn, stroke=stroke, x=x, y=y)
        asked = {"setup": text, "fill": [], "of": ["/probes/0/removal_um"], "over": [], "factor": 1}
        questions.append(close("bench_answer", asked, 1e-12 * dug * 1e6, 1e-6, 1e-12))
    return questions


GROUPS = [
    ("elliptic integrals (scipy.special.ellipe, quad)", elliptic),
    ("rubbing speed seen from pad and panel (complex numbers)", speeds),
    ("mean speed of a pad (scipy.integrate.quad)", pad_means),
    ("leaning disc (integration and root finding)", eccentric_disc),
    ("straight passes, feed and hole (scipy.integrate.quad)", straight_passes),
    ("evenness of parallel lines (numpy sums)", evenness),
    ("removal map against closed lines (numpy sums)", map_in_the_middle),
    ("abrasive that breaks down (scipy.integrate.quad)", breakdown),
    ("depth at a point of a bench setup (motion, quad, brentq)", bench_probes),
]
