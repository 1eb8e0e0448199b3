"""A pad over what is not flat: body lines, curved panels, a rim, by quadrature.

Pressure is stiffness over thickness times how far the foam is pressed, and never
less than none. Over a ridge it depends on the way across only, so force and
moment are integrals of one variable over the pad's chords, and the depth (and
the tilt of a pad that rocks) follow by root finding. Nothing here knows how
Lapwing cuts its face into cells.
"""

import math

import numpy as np
from scipy import integrate, optimize

from question import close

PANEL = """
[panel]
size = ["0.5 m", "0.5 m"]
in_plane = "insulated"
convection_outside = "10 W/m2K"
convection_inside = "5 W/m2K"
layers = [{{ name = "steel", thickness = "0.7 mm" }}]
{ground}
[machine]
kind = "random-orbital"
speed = "4800 opm"
orbit = "0.2 mm"
spin = "0 rpm"
[pad]
diameter = "{diameter} mm"
thickness = "{thick} mm"
stiffness = "{stiff} kPa"
[touch]
force = "{force} N"
{lean}
[abrasive]
cut_rate = "1e-12 1/Pa"
friction_share = 0.001
[stroke]
pattern = "still"
duration = "2 s"
[heat]
cells = [8, 8, 4]
step = "0.2 s"
"""


def ridge(radius, fold, at):
    """How far the panel lies under the crest's top, and where that bends."""
    half = radius * math.sin(fold / 2)
    shoulder = radius * (1 - math.cos(fold / 2))

    def drop(u):
        away = abs(u - at)
        if away <= half:
            return radius - math.sqrt(radius**2 - away**2)
        return shoulder + (away - half) * math.tan(fold / 2)

    return drop, [at - half, at, at + half]


class Pressed:
    """Pressure across a ridge for a depth and a slope, all in m and Pa."""

    def __init__(self, radius, per_m, drop, bends):
        self.radius, self.per_m, self.drop, self.bends = radius, per_m, drop, bends

    def over(self, f, depth, slope):
        """Integral over the face of f(u, pressure) where it presses."""
        bed = lambda u: depth + slope * u - self.drop(u)
        cuts = sorted({-self.radius, self.radius, *(b for b in self.bends if abs(b) < self.radius)})
        edges = list(cuts)
        for a, b in zip(cuts, cuts[1:]):
            # The bed is concave between bends: it is zero at most twice.
            top = optimize.minimize_scalar(lambda u: -bed(u), bounds=(a, b), method="bounded", options={"xatol": 1e-12}).x
            for low, high in ((a, top), (top, b)):
                if bed(low) * bed(high) < 0:
                    edges.append(optimize.brentq(bed, low, high, xtol=1e-15))
        edges.sort()
        total = 0.0
        for a, b in zip(edges, edges[1:]):
            if b - a < 1e-14 or bed((a + b) / 2) <= 0:
                continue
            # u = R sin(w) takes the steep ends of the chord away.
            inside = lambda w: f(self.radius * math.sin(w), self.per_m * max(0.0, bed(self.radius * math.sin(w)))) * 2 * (self.radius * math.cos(w)) ** 2
            total += integrate.quad(inside, math.asin(max(-1.0, a / self.radius)), math.asin(min(1.0, b / self.radius)), epsabs=1e-13, epsrel=1e-12, limit=200)[0]
        return total

    def force(self, depth, slope):
        return self.over(lambda _u, p: p, depth, slope)

    def depth(self, force, slope):
        return optimize.brentq(lambda d: self.force(d, slope) - force, -0.2, 0.2, xtol=1e-16, rtol=1e-14)

    def moment(self, depth, slope):
        return self.over(lambda u, p: u * p, depth, slope)

    def highest(self, depth, slope):
        places = [-self.radius, self.radius, *(b for b in self.bends if abs(b) < self.radius)]
        bed = lambda u: depth + slope * u - self.drop(u)
        for a, b in zip(sorted(places), sorted(places)[1:]):
            places.append(optimize.minimize_scalar(lambda u: -bed(u), bounds=(a, b), method="bounded", options={"xatol": 1e-12}).x)
        return self.per_m * max(bed(u) for u in places)


    def parallel(self):
        """Slope of a backing held parallel to what lies under the whole face: that
        of the straight line with the least squares to the ridge."""
        cuts = sorted({-self.radius, self.radius, *(b for b in self.bends if abs(b) < self.radius)})
        leaning = 0.0
        for a, b in zip(cuts, cuts[1:]):
            inside = lambda w: self.drop(self.radius * math.sin(w)) * self.radius * math.sin(w) * 2 * (self.radius * math.cos(w)) ** 2
            leaning += integrate.quad(inside, math.asin(a / self.radius), math.asin(b / self.radius), epsabs=1e-15, epsrel=1e-12)[0]
        return leaning / (math.pi * self.radius**4 / 4)


def draw(dice):
    given = dict(diameter=float(dice.integers(60, 180)), thick=float(dice.integers(15, 40)), stiff=float(dice.integers(25, 200)), force=float(dice.integers(15, 60)))
    return given, given["diameter"] / 2000, given["stiff"] * 1e6 / given["thick"]


def asked_of(text, place, factor=1.0):
    return {"setup": text, "fill": [], "of": [place], "over": [], "factor": factor}


def creases(dice):
    """A ridge under a level pad, a tilted one and one that rocks until it lies."""
    questions = []
    for number in range(15):
        given, radius, per_m = draw(dice)
        bend, fold = float(dice.uniform(2, 60)), float(dice.uniform(2, 25))
        aside = float(dice.uniform(-0.7, 0.7)) * radius
        drop, bends = ridge(bend * 1e-3, math.radians(fold), aside)
        pad = Pressed(radius, per_m, drop, bends)
        along = "y" if number % 2 else "x"
        ground = f'[[panel.crease]]\nalong = "{along}"\nat = "{250 + aside * 1e3} mm"\nradius = "{bend} mm"\nfold = "{fold} deg"'
        across = 0 if along == "y" else 90
        flush = pad.parallel()
        lean, slope = "", flush
        if number % 3 == 1:
            tilt = float(dice.uniform(0.2, 2))
            lean, slope = f'tilt = "{tilt} deg"\ndirection = "{across} deg"', flush + math.tan(math.radians(tilt))
        if number % 3 == 2:
            lean = 'hold = "free"'
            rocks = lambda s: pad.moment(pad.depth(given["force"], s), s)
            slope = optimize.brentq(rocks, -0.4, 0.4, xtol=1e-13)
        depth = pad.depth(given["force"], slope)
        text = PANEL.format(ground=ground, lean=lean, **given)
        touches = pad.over(lambda _u, _p: 1.0, depth, slope) / (math.pi * radius**2)
        off = abs(pad.moment(depth, slope)) / given["force"] / radius
        # The balance of forces is asked to one part in a million, and all of this
        # follows from it.
        questions.append(close("bench_answer", asked_of(text, "/pressure/max_kpa"), pad.highest(depth, slope) / 1e3, 1e-6))
        questions.append(close("bench_answer", asked_of(text, "/pressure/contact_frac"), touches, 0.0, 1e-6))
        questions.append(close("bench_answer", asked_of(text, "/pressure/eccentricity_frac"), off, 0.0, 1e-6))
        if number % 3 == 2:
            questions.append(close("bench_answer", asked_of(text, "/pressure/tilt_deg"), abs(math.degrees(math.atan(slope - flush))), 1e-6, 1e-6))
    return questions


def all_of_the_force(dice):
    """What a stalled orbit takes off is force times its even speed, whatever lies
    under the pad: the volume tells the force that the pressure adds up to."""
    questions = []
    grounds = [
        "",
        'radius = ["0.4 m", "0.9 m"]',
        'radius = ["-0.5 m", "flat"]',
        '[[panel.crease]]\nalong = "x"\nat = "240 mm"\nradius = "8 mm"\nfold = "20 deg"',
        '[[panel.crease]]\nalong = "y"\nat = "265 mm"\nradius = "3 mm"\nfold = "9 deg"\n[[panel.crease]]\nalong = "x"\nat = "250 mm"\nradius = "30 mm"\nfold = "6 deg"',
    ]
    for ground in grounds:
        for lean in ["", 'tilt = "1.5 deg"\ndirection = "37 deg"', "eccentricity = 0.55", 'hold = "free"']:
            given, _, _ = draw(dice)
            text = PANEL.format(ground=ground, lean=lean, **given)
            speed = 1e-4 * 4800 * math.pi / 30
            mean_um = 1e-12 * given["force"] * speed * 2 / 0.25 * 1e6
            # The balance of forces is asked to one part in a million.
            questions.append(close("bench_answer", asked_of(text, "/removal/mean_um"), mean_um, 1e-6))
    return questions


GROUPS = [
    ("pressure over a body line (scipy.integrate.quad, brentq)", creases),
    ("force that a pad's pressure adds up to (by hand)", all_of_the_force),
]
