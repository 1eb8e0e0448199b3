"""Test spots: the posterior on a plain grid, and a normal vector conditioned
(numpy, scipy)."""

import numpy as np
from scipy import stats

from question import Question, close

# What is believed by class, written down here once more on purpose.
DEPTHS = {"light-swirls": (0.5, 0.6, 0.03), "wash-swirls": (1.0, 0.7, 0.06), "deep-scratches": (2.0, 0.8, 0.15)}
FLOOR = (0.012, 0.8)
DEEP_TIMES, DEEP_SPREAD = 5.0, 0.5


def axis(mean, sd, reach, count):
    """Even nodes and normal weights."""
    nodes = np.linspace(mean - reach * sd, mean + reach * sd, count)
    weights = stats.norm.pdf(nodes, mean, sd)
    return nodes, weights / weights.sum()


def left(ln_removal, ln_median, spread, deep):
    off = ln_removal - ln_median
    return (1 - deep) * stats.norm.sf(off / spread) + deep * stats.norm.sf((off - np.log(DEEP_TIMES)) / DEEP_SPREAD)


def photo_likelihood(photo, pass_um, ln_k, ln_m, spread, deep, floor):
    before_passes, passes, before, after, noise = photo
    share = left(np.log(pass_um * (before_passes + passes)) + ln_k, ln_m, spread, deep)
    if before_passes > 0:
        at_start = left(np.log(pass_um * before_passes) + ln_k, ln_m, spread, deep)
        share = np.minimum(np.where(at_start > 1e-12, share / np.maximum(at_start, 1e-300), 0), 1)
    floor = np.minimum(floor, 0.9 * before)
    mean = floor + (before - floor) * share
    variance = noise**2 * (mean**2 + (before * share) ** 2) + 0.01**2
    return -0.5 * ((after - mean) ** 2 / variance + np.log(variance))


def pair_likelihood(pairs, removal, deviation, freedom):
    """Normal, or the deviation scattered: then all pairs together are t."""
    if freedom == 0:
        return stats.norm.logpdf(pairs[:, None], removal, deviation).sum(0)
    return np.array([
        stats.multivariate_t.logpdf(pairs, np.full(len(pairs), h), np.eye(len(pairs)) * d**2, df=freedom)
        for h, d in zip(removal, deviation)
    ])


def quantile(nodes, weights, share):
    running = np.cumsum(weights) - weights / 2
    return np.interp(share, running / weights.sum(), nodes)


def grid_answers(asked):
    """A plain sum over every node of all five unknowns."""
    rate, spread_k = asked["cut_rate"]
    median, spread_m, deep_frac = DEPTHS[asked["defects"]]
    ln_k, weight_k = axis(np.log(rate * 1e12), spread_k, 6, 161)
    ln_m, weight_m = axis(np.log(median), 0.6, 5, 61)
    ln_s, weight_s = axis(np.log(spread_m), 0.25, 4, 15)
    odds, weight_d = axis(np.log(deep_frac / (1 - deep_frac)), 0.8, 4, 13)
    ln_f, weight_f = axis(np.log(FLOOR[0]), FLOOR[1], 4, 11)
    shape = (slice(None), None, None, None)
    m = ln_m[shape]
    s = np.exp(ln_s)[None, :, None, None]
    d = (1 / (1 + np.exp(-odds)))[None, None, :, None]
    f = np.exp(ln_f)[None, None, None, :]
    inner = weight_m[shape] * weight_s[None, :, None, None] * weight_d[None, None, :, None] * weight_f[None, None, None, :]
    removal = np.exp(ln_k) * asked["pass_um"] * asked["passes"]
    variance = 2 * asked["gauge_um"] ** 2 + (asked["uneven_frac"] * removal) ** 2
    pairs = np.array(asked["pairs_um"])
    logs = pair_likelihood(pairs, removal, np.sqrt(variance), asked["gauge_freedom"])
    films = np.exp(np.linspace(np.log(0.05), np.log(30), 81))
    gone_at = np.zeros((len(ln_k), len(films)))
    summed = np.zeros(len(ln_k))
    collapsed = None
    tops = []
    for at, value in enumerate(ln_k):
        seen = np.zeros(np.broadcast_shapes(m.shape, s.shape, d.shape, f.shape))
        for photo in asked["photos"]:
            seen = seen + photo_likelihood(photo, asked["pass_um"], value, m, s, d, f)
        tops.append(seen.max())
        collapsed = (inner * np.exp(seen - tops[-1])).sum(3)
        summed[at] = collapsed.sum()
        # Films are worked out on the nodes that count, floors summed away.
        gone_at[at] = gone(films, collapsed, ln_m, np.exp(ln_s), 1 / (1 + np.exp(-odds)))
    heights = logs + np.array(tops) + np.log(summed)
    weights = weight_k * np.exp(heights - heights.max())
    weights = weights / weights.sum()
    mean_gone = (weights[:, None] * gone_at).sum(0)
    film = lambda share: float(np.exp(np.interp(share, mean_gone, np.log(films))))
    k = np.exp(ln_k) * 1e-12
    mean_ln = float((weights * ln_k).sum())
    return {
        "cut_rate_mean": float((weights * k).sum()),
        "cut_rate_lower_95": float(np.exp(quantile(ln_k, weights, 0.025)) * 1e-12),
        "cut_rate_upper_95": float(np.exp(quantile(ln_k, weights, 0.975)) * 1e-12),
        "ln_cut_rate_sd": float(np.sqrt((weights * (ln_k - mean_ln) ** 2).sum())),
        "scratch_p50_um": film(0.5),
        "scratch_p80_um": film(0.8),
    }


def gone(films, weights, ln_m, spread, deep):
    """Share gone at every film, averaged over median, spread and deep share."""
    whole = weights.sum()
    usual = weights @ (1 - deep)
    tail = (weights @ deep).sum(1)
    off = np.log(films)[:, None, None] - ln_m[None, :, None]
    left_usual = (stats.norm.sf(off / spread[None, None, :]) * usual[None, :, :]).sum((1, 2))
    left_deep = (stats.norm.sf((off[:, :, 0] - np.log(DEEP_TIMES)) / DEEP_SPREAD) * tail[None, :]).sum(1)
    return 1 - (left_usual + left_deep) / whole


def asked_of(dice, photos):
    passes = int(dice.integers(2, 7))
    pass_um = round(dice.uniform(0.15, 0.25), 3)
    rate = round(dice.uniform(2.5, 6.0), 2)
    removal = rate * pass_um * passes
    count = int(dice.integers(4, 13))
    gauge = round(dice.uniform(0.6, 1.5), 2)
    return {
        "cut_rate": [4e-12, round(dice.uniform(0.25, 0.4), 3)],
        "friction": [0.3, 0.207],
        "defects": str(dice.choice(list(DEPTHS))),
        "pass_um": pass_um,
        "passes": passes,
        "uneven_frac": 0.08,
        "gauge_um": gauge,
        "gauge_freedom": int(dice.choice([0, 10])),
        "pairs_um": [round(float(v), 2) for v in dice.normal(removal, 1.4 * gauge, count)],
        "photos": [
            [0, passes, 1.8, round(float(dice.uniform(0.3, 0.8)), 3), 0.12],
            [passes, 2, 0.7, round(float(dice.uniform(0.2, 0.6)), 3), 0.15],
        ][:photos],
        "warmth": [],
    }


def posteriors(dice):
    """Bounds: the plain grid's ends are read between nodes 0.03 apart in ln k
    (0.3 %), ours of the film from 4000 draws (2 %)."""
    questions = []
    for photos in (0, 1, 2):
        asked = asked_of(dice, photos)
        for output, value in grid_answers(asked).items():
            share = 0.02 if output.startswith("scratch") else 0.003
            questions.append(close("trial_posterior", asked | {"output": output}, value, share))
    return questions


def frictions(dice):
    questions = []
    for _ in range(6):
        rise, unit, sd = dice.uniform(10, 40), dice.uniform(60, 110), dice.uniform(1, 5)
        asked = asked_of(dice, 0) | {"warmth": [round(float(v), 3) for v in (rise, unit, sd)]}
        rise, unit, sd = asked["warmth"]
        ln_f = np.linspace(np.log(0.3) - 8 * 0.207, np.log(0.3) + 8 * 0.207, 20001)
        weights = stats.norm.pdf(ln_f, np.log(0.3), 0.207) * stats.norm.pdf(rise, np.exp(ln_f) * unit, sd)
        weights /= weights.sum()
        for output, value in [
            ("friction_mean", float((weights * np.exp(ln_f)).sum())),
            ("friction_lower_95", float(np.exp(quantile(ln_f, weights, 0.025)))),
            ("friction_upper_95", float(np.exp(quantile(ln_f, weights, 0.975)))),
        ]:
            questions.append(close("trial_posterior", asked | {"output": output}, value, 1e-5))
    return questions


PADS = {"foam-finishing": 0.6, "foam-polishing": 0.8, "foam-cutting": 1.0, "wool": 1.2}
ABRASIVES = {"finishing": 1.0, "fine": 2.0, "medium": 4.0, "heavy": 10.0}


def histories(dice):
    """The whole normal vector (shop, pairings, cars) conditioned at once."""
    questions = []
    variance = (np.log(2) / stats.norm.ppf(0.975)) ** 2
    shop, pairing, car = 0.3 * variance, 0.2 * variance, 0.5 * variance
    for _ in range(10):
        count = int(dice.integers(1, 9))
        pads = [str(p) for p in dice.choice(list(PADS)[:3], count)]
        abrasives = [str(a) for a in dice.choice(list(ABRASIVES)[:3], count)]
        spreads = [round(float(v), 3) for v in dice.uniform(0.05, 0.4, count)]
        classes = np.array([PADS[p] * ABRASIVES[a] * 1e-12 for p, a in zip(pads, abrasives)])
        rates = [float(f"{v:.4e}") for v in classes * np.exp(dice.normal(0.2, 0.4, count))]
        own = (str(dice.choice(list(PADS)[:3])), str(dice.choice(list(ABRASIVES)[:3])))
        pairs = list(zip(pads, abrasives)) + [own]
        same = np.array([[a == b for b in pairs] for a in pairs], dtype=float)
        covariance = shop + pairing * same + car * np.eye(count + 1)
        covariance[:count, :count] += np.diag(np.square(spreads))
        gain = np.linalg.solve(covariance[:count, :count], covariance[:count, count])
        off = float(gain @ np.log(np.array(rates) / classes))
        left_over = float(covariance[count, count] - gain @ covariance[:count, count])
        asked = {
            "pads": pads,
            "abrasives": abrasives,
            "cut_rates": rates,
            "ln_sds": spreads,
            "pad": own[0],
            "abrasive": own[1],
        }
        median = np.log(PADS[own[0]] * ABRASIVES[own[1]] * 1e-12) + off
        questions.append(Question("shop_history", asked | {"output": "ln_median"}, float(median), 1e-9))
        questions.append(close("shop_history", asked | {"output": "ln_sd"}, np.sqrt(left_over), 1e-9))
    return questions


GROUPS = [
    ("posterior of a test spot on a plain grid", posteriors),
    ("friction from a thermometer", frictions),
    ("the shop's history as a normal vector", histories),
]
