"""Ten million samples of two layers inside their bounds: the stored rows of b7.

Each sample draws clear and rest from their priors, throws away what physics
forbids (a layer below 0, more removed than there was) and weighs the rest by
how well it explains the reading. Prints the rows of the case and the largest
standard error, from ten batches; nothing of ours is imported.

Run: python validation/reference/sampled_layers.py
"""

import numpy as np

SEED = 20_261_125
SAMPLES = 10_000_000
BATCHES = 10

CASES = [
    # clear, rest (mean, sd), gauge, total, removed, layer (mean, sd)
    dict(clear_um=20, clear_sd_um=12, rest_um=15, rest_sd_um=10, gauge_um=3, total_um=12, removed_um=0, removed_sd_um=0, layer_um=0, layer_sd_um=0),
    dict(clear_um=30, clear_sd_um=10, rest_um=20, rest_sd_um=12, gauge_um=2, total_um=30, removed_um=8, removed_sd_um=0, layer_um=0, layer_sd_um=0),
    dict(clear_um=45, clear_sd_um=5, rest_um=70, rest_sd_um=6.557438524302, gauge_um=1, total_um=104, removed_um=3, removed_sd_um=2, layer_um=0, layer_sd_um=0),
    dict(clear_um=35, clear_sd_um=8, rest_um=25, rest_sd_um=9, gauge_um=4, total_um=40, removed_um=4, removed_sd_um=1, layer_um=18, layer_sd_um=6),
]


def weighed(dice, case, count):
    clear = dice.normal(case["clear_um"], case["clear_sd_um"], count)
    rest = dice.normal(case["rest_um"], case["rest_sd_um"], count)
    removed = dice.normal(case["removed_um"], case["removed_sd_um"], count)
    if case["removed_sd_um"]:
        keep = removed >= 0
    else:
        keep = np.ones(count, bool)
    left = clear - removed
    keep &= (left >= 0) & (rest >= 0)
    off = (case["total_um"] - left - rest) / case["gauge_um"]
    log = -(off**2) / 2
    if case["layer_sd_um"]:
        log -= ((case["layer_um"] - left) / case["layer_sd_um"]) ** 2 / 2
    return left[keep], np.exp(log[keep])


def summed(left, weight):
    order = np.argsort(left)
    share = np.cumsum(weight[order]) / weight.sum()
    mean = np.average(left, weights=weight)
    sd = np.sqrt(np.average((left - mean) ** 2, weights=weight))
    return np.array([mean, sd, left[order][np.searchsorted(share, 0.05)]])


def main():
    dice = np.random.default_rng(SEED)
    worst = 0.0
    for case in CASES:
        parts = [weighed(dice, case, SAMPLES // BATCHES) for _ in range(BATCHES)]
        batches = np.array([summed(*part) for part in parts])
        whole = summed(np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts]))
        worst = max(worst, (batches.std(axis=0, ddof=1) / np.sqrt(BATCHES)).max())
        given = ", ".join(f"{key} = {value}" for key, value in case.items())
        for output, value in zip(["mean", "sd", "lower"], whole):
            print(f'[[row]]\ninputs = {{ {given}, output = "{output}" }}\nexpected = {value:.4f}\n')
    print(f"# largest standard error {worst:.5f} µm")


if __name__ == "__main__":
    main()
