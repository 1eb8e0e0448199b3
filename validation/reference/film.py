"""Film readings: sample sizes, tests, odd readings, limits, layers (scipy.stats)."""

import math

import numpy as np
from scipy import integrate, optimize, stats

from question import Question, close


def rounded(values, digits=2):
    return [round(float(v), digits) for v in values]


def readings(dice, count):
    return rounded(dice.normal(dice.uniform(80, 160), dice.uniform(0.5, 8), count))


def noncentral_t(dice):
    questions = []
    for _ in range(40):
        freedom, shift = int(dice.integers(2, 120)), round(dice.uniform(-4, 12), 3)
        t = round(shift + dice.normal(0, 1.5), 3)
        asked = {"t": t, "freedom": freedom, "noncentrality": shift}
        questions.append(Question("noncentral_t_cdf", asked, float(stats.nct.cdf(t, freedom, shift)), 1e-8))
    return questions


def exact_power(pairs, shift, alpha, sides):
    edge = stats.t.ppf(1 - alpha / sides, pairs - 1)
    above = stats.nct.sf(edge, pairs - 1, shift)
    if sides == 1:
        return above
    # The library's lower tail is NaN far out, so it is averaged over the spread.
    wrong_way = lambda s: stats.norm.cdf(-edge * s / math.sqrt(pairs - 1) - shift) * stats.chi.pdf(s, pairs - 1)
    return above + integrate.quad(wrong_way, 0, stats.chi.isf(1e-14, pairs - 1), epsabs=1e-12)[0]


def fewest_pairs(power, wanted):
    """Power rises with the pairs: doubled until enough, then halved in."""
    enough = 2
    while power(enough) < wanted:
        enough *= 2
    short = enough // 2
    while enough - short > 1:
        middle = (enough + short) // 2
        short, enough = (short, middle) if power(middle) >= wanted else (middle, enough)
    return enough


def sample_sizes(dice):
    questions = []
    for _ in range(20):
        plan = {
            "repeatability": round(dice.uniform(0.4, 2.5), 2),
            "difference": round(dice.uniform(1.0, 5.0), 2),
            "sides": int(dice.integers(1, 3)),
            "power_frac": float(dice.choice([0.8, 0.9, 0.95])),
            "alpha_frac": float(dice.choice([0.05, 0.01])),
        }
        per_root = plan["difference"] / (plan["repeatability"] * math.sqrt(2))
        power = lambda n: exact_power(n, per_root * math.sqrt(n), plan["alpha_frac"], plan["sides"])
        questions.append(Question("pairs_needed", plan, fewest_pairs(power, plan["power_frac"]), 0))
        pairs = int(dice.integers(2, 40))
        questions.append(Question("pairs_power", plan | {"pairs": pairs}, float(power(pairs)), 1e-8))
    return questions


def t_tests(dice):
    questions = []
    for _ in range(12):
        before = readings(dice, int(dice.integers(3, 30)))
        after = rounded(np.array(before) - dice.normal(2, 1.5, len(before)))
        result = stats.ttest_rel(before, after)
        interval = result.confidence_interval(0.95)
        asked = {"before": before, "after": after}
        for output, value in [
            ("statistic", result.statistic),
            ("p_two_sided", result.pvalue),
            ("lower", interval.low),
            ("upper", interval.high),
            ("p_greater", stats.ttest_rel(before, after, alternative="greater").pvalue),
        ]:
            questions.append(close("paired_t", asked | {"output": output}, value, 1e-7, 1e-12))
        other = readings(dice, int(dice.integers(3, 20)))
        for law, is_equal in [("welch_t", False), ("pooled_t", True)]:
            result = stats.ttest_ind(before, other, equal_var=is_equal)
            interval = result.confidence_interval(0.95)
            asked = {"first": before, "second": other}
            for output, value in [
                ("statistic", result.statistic),
                ("freedom", result.df),
                ("p_two_sided", result.pvalue),
                ("lower", interval.low),
            ]:
                questions.append(close(law, asked | {"output": output}, value, 1e-7, 1e-12))
    return questions


def grubbs_distance(count, alpha, sides):
    t = stats.t.ppf(1 - alpha / (sides * count), count - 2)
    return (count - 1) / math.sqrt(count) * math.sqrt(t * t / (count - 2 + t * t))


def grubbs(dice):
    questions = []
    for _ in range(20):
        count, alpha, sides = int(dice.integers(3, 200)), round(dice.uniform(0.005, 0.2), 3), int(dice.integers(1, 3))
        asked = {"count": count, "alpha_frac": alpha, "sides": sides}
        questions.append(close("grubbs_critical", asked, grubbs_distance(count, alpha, sides), 1e-8))
        values = np.array(readings(dice, max(count, 4)))
        far = np.abs(values - values.mean()).max() / values.std(ddof=1)
        asked = {"values": values.tolist(), "alpha_frac": alpha, "end": "either"}
        questions.append(close("grubbs", asked | {"output": "statistic"}, far, 1e-9))
        is_odd = far > grubbs_distance(len(values), alpha, 2)
        questions.append(Question("grubbs", asked | {"output": "is_outlier"}, float(is_odd), 0))
    return questions


def rosner(values, most, alpha):
    """Distances, critical distances and how many readings are odd."""
    left, found, odd = list(values), [], 0
    for step in range(1, most + 1):
        mean, sd = np.mean(left), np.std(left, ddof=1)
        far = max(range(len(left)), key=lambda k: abs(left[k] - mean))
        distance = abs(left[far] - mean) / sd
        left.pop(far)
        n = len(values)
        t = stats.t.ppf(1 - alpha / (2 * (n - step + 1)), n - step - 1)
        critical = (n - step) * t / math.sqrt((n - step - 1 + t * t) * (n - step + 1))
        found.append((distance, critical))
        odd = step if distance > critical else odd
    return found, odd


def many_odd_readings(dice):
    questions = []
    for planted in [0, 0, 1, 2, 3, 3, 4, 5, 6]:
        values = readings(dice, int(dice.integers(20, 60)))
        top = max(values)
        values += rounded(top + dice.uniform(3, 60) + dice.normal(0, 1, planted))
        found, odd = rosner(values, 8, 0.05)
        asked = {"values": values, "most_outliers": 8, "alpha_frac": 0.05}
        questions.append(Question("generalised_esd", asked | {"output": "outliers"}, odd, 0))
        for step, (distance, critical) in enumerate(found, 1):
            questions.append(close("generalised_esd", asked | {"output": "statistic", "step": step}, distance, 1e-9))
            questions.append(close("generalised_esd", asked | {"output": "critical", "step": step}, critical, 1e-8))
    return questions


def two_sided_factor(count, coverage, confidence):
    """Exact: the chance over the error of the mean, by quadrature."""
    freedom = count - 1

    def half_width(x):
        excess = lambda r: stats.norm.cdf(x + r) - stats.norm.cdf(x - r) - coverage
        return optimize.brentq(excess, 0, x + 20, xtol=1e-13)

    places, weights = np.polynomial.legendre.leggauss(160)
    places, weights = 4.5 * (places + 1), 4.5 * weights
    widths = np.array([half_width(z / math.sqrt(count)) for z in places])

    def confidence_of(factor):
        return (2 * weights * stats.norm.pdf(places) * stats.chi2.sf(freedom * (widths / factor) ** 2, freedom)).sum()

    return optimize.brentq(lambda k: confidence_of(k) - confidence, 0.05, 300, xtol=1e-9)


def tolerance_factors(dice):
    questions = []
    for _ in range(5):
        count = int(dice.integers(3, 80))
        asked = {"count": count, "coverage_frac": round(dice.uniform(0.6, 0.99), 2), "confidence_frac": round(dice.uniform(0.6, 0.99), 2)}
        factor = two_sided_factor(count, asked["coverage_frac"], asked["confidence_frac"])
        questions.append(close("tolerance_factor", asked | {"method": "exact_two_sided"}, factor, 1e-6))
    for _ in range(20):
        count = int(dice.integers(3, 120))
        asked = {"count": count, "coverage_frac": round(dice.uniform(0.05, 0.99), 2), "confidence_frac": round(dice.uniform(0.5, 0.99), 2)}
        shift = stats.norm.ppf(asked["coverage_frac"]) * math.sqrt(count)
        factor = stats.nct.ppf(asked["confidence_frac"], count - 1, shift) / math.sqrt(count)
        questions.append(close("tolerance_factor", asked | {"method": "exact_one_sided"}, factor, 1e-6, 1e-7))
        z = stats.norm.ppf((1 + asked["coverage_frac"]) / 2)
        howe = z * math.sqrt((count - 1) * (1 + 1 / count) / stats.chi2.ppf(1 - asked["confidence_frac"], count - 1))
        questions.append(close("tolerance_factor", asked | {"method": "howe_two_sided"}, howe, 1e-8))
    return questions


def gauge_and_panel(dice):
    questions = []
    for _ in range(10):
        spots = []
        for _ in range(int(dice.integers(2, 9))):
            true = dice.normal(115, 5)
            spots.append(rounded(true + dice.normal(0, 1, int(dice.integers(2, 6)))))
        result = stats.f_oneway(*spots)
        sizes = np.array([len(s) for s in spots])
        within = sum(((np.array(s) - np.mean(s)) ** 2).sum() for s in spots) / (sizes.sum() - len(spots))
        typical = (sizes.sum() - (sizes**2).sum() / sizes.sum()) / (len(spots) - 1)
        between = within * result.statistic
        for output, value in [
            ("f_ratio", result.statistic),
            ("p_value", result.pvalue),
            ("repeatability_sd", math.sqrt(within)),
            ("between_spot_sd", math.sqrt(max(between - within, 0) / typical)),
        ]:
            questions.append(close("nested_anova", {"spots": spots, "output": output}, value, 1e-7, 1e-12))
    return questions


def centre_and_spread(dice):
    questions = []
    for _ in range(10):
        values = readings(dice, int(dice.integers(3, 60)))
        for output, value in [
            ("mean", np.mean(values)),
            ("sd", np.std(values, ddof=1)),
            ("median", np.median(values)),
            ("mad", stats.median_abs_deviation(values)),
            ("robust_sd", stats.median_abs_deviation(values, scale="normal")),
        ]:
            # The handbook's factor 1.4826 stands for 1.482602.
            share = 2e-6 if output == "robust_sd" else 1e-11
            questions.append(close("summary", {"values": values, "output": output}, value, share))
    return questions


def clear_from_total(dice):
    """Conditioning of a normal vector by linear algebra."""
    questions = []
    for _ in range(15):
        means = np.array([dice.uniform(30, 50), dice.uniform(25, 80)])
        sds = np.array([dice.uniform(2, 7), dice.uniform(2, 8)])
        gauge, total, removed = dice.uniform(0.1, 3), dice.uniform(70, 150), dice.uniform(0, 6)
        look = np.array([[1.0, 1.0]])
        joint = np.diag(sds**2)
        seen = look @ joint @ look.T + gauge**2
        gain = joint @ look.T @ np.linalg.inv(seen)
        mean = means + (gain @ (np.array([total + removed]) - look @ means)).ravel()
        spread = joint - gain @ look @ joint
        sd, left = math.sqrt(spread[0, 0]), mean[0] - removed
        if left < 9 * sd or mean[1] < 9 * math.sqrt(spread[1, 1]):
            continue  # a bound bites; the group of cut layers asks that
        asked = dict(clear_um=means[0], rest_um=means[1], clear_sd_um=sds[0], rest_sd_um=sds[1])
        asked |= dict(gauge_um=gauge, total_um=total, removed_before_um=removed, confidence_frac=0.95)
        asked = {key: float(value) for key, value in asked.items()}
        for output, value in [("mean", left), ("sd", sd), ("lower", left + stats.norm.ppf(0.05) * sd)]:
            questions.append(close("clear_left_inferred", asked | {"output": output}, max(value, 0), 1e-9, 1e-9))
    return questions


GROUPS = [
    ("noncentral t distribution (scipy.stats.nct)", noncentral_t),
    ("pairs of readings and their power (scipy.stats.nct)", sample_sizes),
    ("paired, Welch and pooled t tests (scipy.stats)", t_tests),
    ("Grubbs test (scipy.stats.t)", grubbs),
    ("many odd readings, masking included (scipy.stats.t)", many_odd_readings),
    ("tolerance factors (scipy.stats, scipy.integrate)", tolerance_factors),
    ("gauge against panel (scipy.stats.f_oneway)", gauge_and_panel),
    ("centre and spread (numpy, scipy.stats)", centre_and_spread),
    ("clear coat from a total reading (numpy.linalg)", clear_from_total),
]
