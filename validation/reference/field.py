"""Fields from scattered readings (scikit-learn, PyKrige) and the worth of one more (scipy)."""

import math

import numpy as np
from pykrige.ok import OrdinaryKriging
from scipy import integrate, stats
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import RBF, ConstantKernel, Matern, WhiteKernel

from question import Question, close

SHAPES = {
    "matern-3/2": lambda ranges: Matern(ranges, nu=1.5),
    "matern-5/2": lambda ranges: Matern(ranges, nu=2.5),
    "squared-exponential": lambda ranges: RBF(ranges),
}
COUNTS = (5, 6, 8, 12, 20, 35, 60, 110, 200)


def drawn(dice, count, level):
    """Readings of a random smooth field, and a kernel to ask about."""
    u, v = dice.uniform(0, 1400, count).round(1), dice.uniform(0, 1200, count).round(1)
    values = level + 5 * np.sin(u / dice.uniform(150, 400)) + 3 * np.cos(v / dice.uniform(150, 400)) + dice.normal(0, 1, count)
    asked = {
        "u": u.tolist(),
        "v": v.tolist(),
        "values": values.round(2).tolist(),
        "sd": round(dice.uniform(2, 8), 2),
        "range_u": round(dice.uniform(150, 700), 1),
        "range_v": round(dice.uniform(150, 700), 1),
        "noise_variance": round(dice.uniform(0.1, 3), 3),
    }
    return asked


def learner_of(asked, with_noise=False):
    kernel = ConstantKernel(asked["sd"] ** 2) * SHAPES[asked["shape"]]([asked["range_u"], asked["range_v"]])
    alpha = asked["noise_variance"]
    if with_noise:
        kernel, alpha = kernel + WhiteKernel(alpha), 0.0
    return GaussianProcessRegressor(kernel, alpha=alpha, optimizer=None)


def sites_of(asked):
    return np.column_stack([asked["u"], asked["v"]])


def predictions(dice):
    questions = []
    for count in COUNTS:
        for shape in SHAPES:
            asked = drawn(dice, count, 0.0) | {"shape": shape, "level": "zero"}
            learner = learner_of(asked).fit(sites_of(asked), asked["values"])
            likelihood = learner.log_marginal_likelihood_value_
            questions.append(close("gaussian_field", asked | {"output": "log_likelihood"}, likelihood, 1e-8))
            for _ in range(3):
                at = {"at_u": round(dice.uniform(-100, 1500), 1), "at_v": round(dice.uniform(-100, 1300), 1)}
                mean, sd = learner.predict([[at["at_u"], at["at_v"]]], return_std=True)
                questions.append(close("gaussian_field", asked | at | {"output": "mean"}, mean[0], 1e-7, 1e-8))
                questions.append(close("gaussian_field", asked | at | {"output": "sd"}, sd[0], 1e-7, 1e-8))
    return questions


def on_lattice(dice):
    """Cells of a map at 5 mm, where most are filled in between others; to the
    hundredth of a micrometre that the map is written to."""
    questions = []
    for count in COUNTS:
        for shape in ("matern-3/2", "matern-5/2"):
            asked = drawn(dice, count, 0.0) | {"shape": shape, "level": "zero"}
            learner = learner_of(asked).fit(sites_of(asked), asked["values"])
            lattice = {"first_u": 202.5, "first_v": 102.5, "step": 5.0, "columns": 61, "rows": 50, "tolerance": 0.002}
            for _ in range(3):
                cell = {"row": int(dice.integers(0, 50)), "column": int(dice.integers(0, 61))}
                site = [lattice["first_u"] + 5.0 * cell["column"], lattice["first_v"] + 5.0 * cell["row"]]
                mean, sd = learner.predict([site], return_std=True)
                questions.append(Question("field_on_lattice", asked | lattice | cell | {"output": "mean"}, float(mean[0]), 0.01))
                questions.append(Question("field_on_lattice", asked | lattice | cell | {"output": "sd"}, float(sd[0]), 0.01))
    return questions


def slopes(dice):
    questions = []
    for count in COUNTS:
        for shape in SHAPES:
            asked = drawn(dice, count, 0.0) | {"shape": shape, "level": "zero"}
            learner = learner_of(asked, with_noise=True).fit(sites_of(asked), asked["values"])
            value, slope = learner.log_marginal_likelihood(learner.kernel_.theta, eval_gradient=True)
            questions.append(close("field_slope", asked | {"by": "nothing"}, value, 1e-8))
            # The library's first and last parameter are variances: ln s² = 2 ln s.
            for by, expected in zip(("ln_sd", "ln_range_u", "ln_range_v", "ln_noise_sd"), slope * [2, 1, 1, 2]):
                questions.append(close("field_slope", asked | {"by": by}, expected, 1e-6, 1e-7))
    return questions


def left_out(dice):
    """Each reading foretold by a fit to the others."""
    questions = []
    for count in COUNTS[:7]:
        asked = drawn(dice, count, 0.0) | {"shape": "matern-3/2", "level": "zero"}
        sites, values = sites_of(asked), np.array(asked["values"])
        for place in dice.integers(1, count + 1, 3).tolist():
            keep = np.arange(count) != place - 1
            mean, sd = learner_of(asked).fit(sites[keep], values[keep]).predict(sites[~keep], return_std=True)
            whole = math.sqrt(sd[0] ** 2 + asked["noise_variance"])
            questions.append(close("field_left_out", asked | {"place": place, "output": "mean"}, mean[0], 1e-7, 1e-7))
            questions.append(close("field_left_out", asked | {"place": place, "output": "sd"}, whole, 1e-7))
    return questions


def kriging(dice):
    """A level nobody knows; without a nugget, so that both mean the same thing."""
    questions = []
    for count in COUNTS:
        asked = drawn(dice, count, 115.0) | {"shape": "spherical", "level": "unknown", "noise_variance": 0.0}
        asked["range_v"] = asked["range_u"]
        sill = asked["sd"] ** 2
        known = {"psill": sill, "range": asked["range_u"], "nugget": 0.0}
        krige = OrdinaryKriging(asked["u"], asked["v"], asked["values"], variogram_model="spherical", variogram_parameters=known)
        for _ in range(4):
            at = {"at_u": round(dice.uniform(0, 1400), 1), "at_v": round(dice.uniform(0, 1200), 1)}
            mean, variance = krige.execute("points", [at["at_u"]], [at["at_v"]])
            questions.append(close("gaussian_field", asked | at | {"output": "mean"}, mean[0], 1e-8))
            questions.append(close("gaussian_field", asked | at | {"output": "variance"}, variance[0], 1e-6, 1e-7))
    return questions


TINY = {"u": [0, 1, 0, 2], "v": [0, 0, 1, 2], "values": [100, 110, 105, 120], "shape": "spherical", "level": "unknown"}


def tiny_kriging(dice):
    """The four-place case, with and without a nugget."""
    questions = []
    for sill, nugget in ((1.0, 0.0), (0.8, 0.2)):
        known = {"psill": sill, "range": 2.0, "nugget": nugget}
        krige = OrdinaryKriging(TINY["u"], TINY["v"], TINY["values"], variogram_model="spherical", variogram_parameters=known)
        asked = TINY | {"sd": math.sqrt(sill), "range_u": 2.0, "range_v": 2.0, "noise_variance": nugget}
        for _ in range(6):
            at = {"at_u": round(dice.uniform(0.05, 1.95), 3), "at_v": round(dice.uniform(0.05, 1.95), 3)}
            mean, variance = krige.execute("points", [at["at_u"]], [at["at_v"]])
            questions.append(close("gaussian_field", asked | at | {"output": "mean"}, mean[0], 1e-9))
            # The library's variance is of a new reading: field and nugget.
            questions.append(close("gaussian_field", asked | at | {"output": "variance_of_reading"}, variance[0], 1e-7))
    return questions


def gains(dice):
    """One place read again: the risk before, less the mean risk after, by quadrature."""
    questions = []
    pairs = 20_000
    for _ in range(12):
        mean, sd, noise = 100.0, round(dice.uniform(1, 6), 2), round(dice.uniform(0.3, 3), 2)
        threshold, weight = round(mean - sd * dice.uniform(0.5, 2.2), 2), float(dice.choice([1.0, 4.0, 19.0]))
        risk = lambda p: min(weight * p, 1 - p)
        shift = sd**2 / math.hypot(sd, noise)
        left = math.sqrt(sd**2 - shift**2)
        after = lambda z: risk(stats.norm.cdf((threshold - mean - shift * z) / left)) * stats.norm.pdf(z)
        turn = (threshold - mean - left * stats.norm.ppf(1 / (1 + weight))) / shift
        expected = risk(stats.norm.cdf((threshold - mean) / sd)) - integrate.quad(after, -9, 9, points=[turn], limit=400)[0]
        asked = dict(mean=mean, sd=sd, noise_sd=noise, threshold=threshold, weight=weight, draw_pairs=pairs)
        # Shares among so many draws are good to four of their deviations.
        chance = 4 * (1 + weight) * math.sqrt(0.25 / (2 * pairs)) if weight < 2 else 4 * weight * math.sqrt(0.1 / (2 * pairs))
        questions.append(Question("reading_gain", asked, expected, chance))
    return questions


GROUPS = [
    ("fields, their doubt and likelihood, 5 to 200 readings (scikit-learn)", predictions),
    ("cells of a map, filled in between others (scikit-learn)", on_lattice),
    ("slopes of the likelihood (scikit-learn)", slopes),
    ("readings left out (scikit-learn)", left_out),
    ("ordinary kriging (PyKrige)", kriging),
    ("ordinary kriging, four places (PyKrige)", tiny_kriging),
    ("the worth of one more reading (scipy.integrate)", gains),
]
