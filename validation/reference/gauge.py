"""Gauge and hands, two populations, steps, layers inside their bounds."""

import math

import numpy as np
import pandas as pd
from scipy import integrate, optimize, stats
from sklearn.mixture import GaussianMixture
from statsmodels.formula.api import ols
from statsmodels.stats.anova import anova_lm
from statsmodels.stats.weightstats import CompareMeans, DescrStatsW, ttest_ind

from film import exact_power
from question import Question, close


def two_way_table(dice):
    """Operators nested in spots, unbalanced: a mean per cell against a mean per spot.

    One table of both factors would sum empty cells wrongly (rank is lost).
    """
    questions = []
    for _ in range(10):
        rows = []
        for spot in range(int(dice.integers(2, 7))):
            true = dice.normal(115, 6)
            for operator in range(int(dice.integers(2, 4))):
                bias = dice.normal(0, 1.2)
                for _ in range(int(dice.integers(2, 5))):
                    rows.append((spot, operator, round(true + bias + dice.normal(0, 0.8), 2)))
        table = pd.DataFrame(rows, columns=["spot", "operator", "value"])
        table["cell"] = table.spot.astype(str) + "/" + table.operator.astype(str)
        cells = ols("value ~ C(cell)", table).fit()
        fit = anova_lm(ols("value ~ C(spot)", table).fit(), cells)
        freedom, within = fit.loc[1, "df_diff"], cells.mse_resid
        between = fit.loc[1, "ss_diff"] / freedom
        counts = table.groupby(["spot", "operator"]).size().reset_index(name="n")
        per_spot = counts.groupby("spot").n.agg(lambda n: (n**2).sum() / n.sum())
        typical = (len(table) - per_spot.sum()) / freedom
        asked = {key: [float(v) for v in table[column]] for key, column in [("spots", "spot"), ("operators", "operator"), ("values", "value")]}
        for output, value in [
            ("mean_square_within", within),
            ("mean_square_operators", between),
            ("repeatability_sd", math.sqrt(within)),
            ("operator_sd", math.sqrt(max(between - within, 0) / typical)),
        ]:
            questions.append(close("operators", asked | {"output": output}, value, 1e-8, 1e-10))
    return questions


def one_way_table(dice):
    questions = []
    for _ in range(8):
        spots = [[round(v, 2) for v in dice.normal(dice.normal(115, 4), 1, int(dice.integers(2, 6)))] for _ in range(int(dice.integers(2, 7)))]
        table = pd.DataFrame([(i, v) for i, s in enumerate(spots) for v in s], columns=["spot", "value"])
        fit = anova_lm(ols("value ~ C(spot)", table).fit())
        for output, value in [
            ("f_ratio", fit.loc["C(spot)", "F"]),
            ("p_value", fit.loc["C(spot)", "PR(>F)"]),
            ("mean_square_between", fit.loc["C(spot)", "mean_sq"]),
            ("mean_square_within", fit.loc["Residual", "mean_sq"]),
        ]:
            questions.append(close("nested_anova", {"spots": spots, "output": output}, value, 1e-7, 1e-12))
    return questions


def t_tests(dice):
    questions = []
    for _ in range(8):
        first = [round(v, 2) for v in dice.normal(118, 3, int(dice.integers(3, 20)))]
        second = [round(v, 2) for v in dice.normal(116, 5, int(dice.integers(3, 20)))]
        both = CompareMeans(DescrStatsW(first), DescrStatsW(second))
        for law, how in [("pooled_t", "pooled"), ("welch_t", "unequal")]:
            t, p, freedom = ttest_ind(first, second, usevar=how)
            low, high = both.tconfint_diff(0.05, usevar=how)
            for output, value in [("statistic", t), ("p_two_sided", p), ("freedom", freedom), ("lower", low), ("upper", high)]:
                questions.append(close(law, {"first": first, "second": second, "output": output}, value, 1e-7, 1e-11))
        after = [round(v - dice.normal(2, 1), 2) for v in first]
        pairs = DescrStatsW(np.array(first) - np.array(after))
        t, p, freedom = pairs.ttest_mean(0)
        low, high = pairs.tconfint_mean(0.05)
        for output, value in [("statistic", t), ("p_two_sided", p), ("freedom", freedom), ("lower", low), ("upper", high)]:
            questions.append(close("paired_t", {"before": first, "after": after, "output": output}, value, 1e-7, 1e-11))
    return questions


def changes_seen(dice):
    questions = []
    for _ in range(15):
        asked = {
            "repeatability": round(dice.uniform(0.3, 3), 2),
            "pairs": int(dice.integers(3, 40)),
            "alpha_frac": float(dice.choice([0.05, 0.01])),
            "power_frac": float(dice.choice([0.8, 0.9])),
        }
        n = asked["pairs"]
        short = lambda shift: exact_power(n, shift, asked["alpha_frac"], 2) - asked["power_frac"]
        shift = optimize.brentq(short, 0.1, 100, xtol=1e-12)
        expected = shift * asked["repeatability"] * math.sqrt(2 / n)
        questions.append(close("change_seen", asked, expected, 1e-6))
        value, freedom = round(dice.uniform(0.1, 40), 3), int(dice.integers(1, 40))
        asked = {"value": value, "freedom": freedom}
        questions.append(close("chi_squared_cdf", asked, stats.chi2.cdf(value, freedom), 1e-9, 1e-13))
    return questions


def cut_bells(dice):
    questions = []
    for _ in range(15):
        mean, sd = round(dice.uniform(-20, 60), 2), round(dice.uniform(1, 15), 2)
        low = round(mean + sd * dice.uniform(-4, 4), 2)
        high = round(low + sd * dice.uniform(0.1, 6), 2)
        cut = stats.truncnorm((low - mean) / sd, (high - mean) / sd, mean, sd)
        share = round(dice.uniform(0.01, 0.99), 3)
        asked = {"mean": mean, "sd": sd, "low": low, "high": high, "share_frac": share}
        for output, value in [("mean", cut.mean()), ("sd", cut.std()), ("quantile", cut.ppf(share))]:
            questions.append(close("cut_normal", asked | {"output": output}, value, 1e-8, 1e-8))
    return questions


def cut_layers(dice):
    """Every amount of clear and rest on a fine grid, weighed and summed."""
    questions = []
    for _ in range(12):
        prior = dict(clear_um=dice.uniform(15, 40), clear_sd_um=dice.uniform(6, 14), rest_um=dice.uniform(10, 40), rest_sd_um=dice.uniform(6, 14))
        gauge, removed, total = dice.uniform(1, 4), dice.uniform(0, 15), dice.uniform(8, 60)
        has_layer = bool(dice.integers(0, 2))
        layer, layer_sd = (dice.uniform(3, 25), dice.uniform(1, 4)) if has_layer else (0.0, 0.0)
        x = np.linspace(0, total + 9 * gauge, 3001)
        o = np.linspace(0, total + 9 * gauge, 3001)
        log = (
            stats.norm.logpdf(x + removed, prior["clear_um"], prior["clear_sd_um"])[:, None]
            + stats.norm.logpdf(o, prior["rest_um"], prior["rest_sd_um"])[None, :]
            + stats.norm.logpdf(total, x[:, None] + o[None, :], gauge)
        )
        if has_layer:
            log += stats.norm.logpdf(layer, x, layer_sd)[:, None]
        joint = np.exp(log - log.max())
        density = integrate.simpson(joint, x=o, axis=1)
        density /= integrate.simpson(density, x=x)
        mean = integrate.simpson(x * density, x=x)
        sd = math.sqrt(integrate.simpson((x - mean) ** 2 * density, x=x))
        share = integrate.cumulative_simpson(density, x=x, initial=0)
        lower = float(np.interp(0.05, share, x))
        asked = {key: float(value) for key, value in prior.items()}
        asked |= dict(gauge_um=float(gauge), total_um=float(total), removed_um=float(removed), removed_sd_um=0.0)
        asked |= dict(layer_um=float(layer), layer_sd_um=float(layer_sd), confidence_frac=0.95)
        for output, value, off in [("mean", mean, 1e-5), ("sd", sd, 1e-5), ("lower", lower, 1e-4)]:
            questions.append(Question("clear_left_evidence", asked | {"output": output}, float(value), off))
    return questions


def two_populations(dice):
    """The library's mixture from the same start, without its usual padding."""
    questions = []
    for _ in range(8):
        count = int(dice.integers(20, 60))
        second = dice.random(count) < 0.35
        values = [round(v, 2) for v in np.where(second, dice.normal(190, 15, count), dice.normal(115, 6, count))]
        start = np.array([[110.0], [200.0]])
        fit = GaussianMixture(2, tol=1e-13, max_iter=20000, reg_covar=0, means_init=start, weights_init=[0.5, 0.5], precisions_init=[[[0.01]], [[0.0025]]])
        fit.fit(np.array(values)[:, None])
        asked = {"values": values, "variances": [0.0] * count, "covariates": [[1.0]] * count}
        asked |= {"start_coefficients": [110.0], "start_shift": 90.0, "start_first_sd": 10.0, "start_second_sd": 20.0, "start_share_frac": 0.5}
        for output, value in [
            ("first_middle", fit.means_[0, 0]),
            ("second_middle", fit.means_[1, 0]),
            ("first_sd", math.sqrt(fit.covariances_[0, 0, 0])),
            ("second_sd", math.sqrt(fit.covariances_[1, 0, 0])),
            ("share_frac", fit.weights_[1]),
            ("log_likelihood", fit.score(np.array(values)[:, None]) * count),
        ]:
            questions.append(close("two_populations", asked | {"output": output}, value, 1e-5, 1e-6))
    return questions


def two_populations_with_errors(dice):
    """The top of the same likelihood, climbed by a general optimiser."""
    questions = []
    for _ in range(5):
        count = int(dice.integers(30, 60))
        variances = np.round(dice.uniform(0.5, 16, count), 2)
        flat = dice.integers(0, 2, count).astype(float)
        second = dice.random(count) < 0.35
        noise = dice.normal(0, 1, count) * np.sqrt(variances + np.where(second, 225, 25))
        values = np.round(112 + 8 * flat + 85 * second + noise, 2)

        def fall(p):
            base, slope, shift, log_first, log_second, logit = p
            share = 1 / (1 + math.exp(-logit))
            middle = base + slope * flat
            first = stats.norm.logpdf(values, middle, np.sqrt(math.exp(2 * log_first) + variances))
            other = stats.norm.logpdf(values, middle + shift, np.sqrt(math.exp(2 * log_second) + variances))
            return -np.logaddexp(first + math.log(1 - share), other + math.log(share)).sum()

        start = np.array([112, 8, 85, math.log(6), math.log(15), -0.6])
        best = optimize.minimize(fall, start, method="BFGS", options={"gtol": 1e-9, "maxiter": 5000})
        best = optimize.minimize(fall, best.x, method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-12, "maxiter": 20000, "maxfev": 20000})
        asked = {"values": values.tolist(), "variances": variances.tolist(), "covariates": [[1.0, f] for f in flat.tolist()]}
        asked |= {"start_coefficients": [112.0, 8.0], "start_shift": 85.0, "start_first_sd": 6.0, "start_second_sd": 15.0, "start_share_frac": 0.35}
        for output, value, off in [
            ("log_likelihood", -best.fun, 1e-6),
            ("first_middle", best.x[0], 5e-3),
            ("slope", best.x[1], 5e-3),
            ("share_frac", 1 / (1 + math.exp(-best.x[5])), 1e-4),
        ]:
            questions.append(Question("two_populations", asked | {"output": output}, float(value), off))
    return questions


def steps(dice):
    """The same linear model as one normal vector."""
    questions = []
    for _ in range(12):
        count = int(dice.integers(5, 15))
        places = np.sort(np.round(dice.uniform(0, 1500, count), 1))
        after = int(dice.integers(0, count - 1))
        values = np.round(dice.normal(115, 4, count) + 50 * (np.arange(count) >= after) * dice.integers(0, 2), 2)
        beliefs = {"level_sd": 100.0, "slope_sd": 12.0, "step_sd": 60.0, "noise": round(dice.uniform(2, 9), 2)}
        along = (places - places[0]) / (places[-1] - places[0]) - 0.5
        model = beliefs["noise"] ** 2 * np.eye(count) + beliefs["level_sd"] ** 2 + beliefs["slope_sd"] ** 2 * np.outer(along, along)
        if after:
            beyond = (np.arange(count) >= after).astype(float)
            model = model + beliefs["step_sd"] ** 2 * np.outer(beyond, beyond)
        expected = stats.multivariate_normal(np.full(count, values.mean()), model).logpdf(values)
        asked = {"places": places.tolist(), "values": values.tolist(), "after": after} | beliefs
        questions.append(close("step_evidence", asked, expected, 1e-9, 1e-8))
    return questions


GROUPS = [
    ("hands nested in spots (statsmodels anova_lm)", two_way_table),
    ("gauge against panel (statsmodels anova_lm)", one_way_table),
    ("t tests and intervals (statsmodels weightstats)", t_tests),
    ("change seen, chi-squared (scipy.stats.nct, chi2)", changes_seen),
    ("cut normal (scipy.stats.truncnorm)", cut_bells),
    ("layers inside their bounds (scipy.integrate)", cut_layers),
    ("two populations (scikit-learn GaussianMixture)", two_populations),
    ("two populations with errors and a covariate (scipy.optimize)", two_populations_with_errors),
    ("evidence of a step (scipy.stats.multivariate_normal)", steps),
]
