"""The film map's mathematics in scikit-learn: the same readings and kernel.

Likelihood with its slope, and prediction with deviations on 10,000 places and on
all cells of 5 mm of a panel, as `crates/job/examples/field_reference.rs` does.
Prints one line for each number of readings: likelihood, sum of means and
deviations, seconds of processor for each; then sum and seconds for the panel.

With `whole` the car of 20 panels with 400 readings: on every panel the three
kernels Lapwing weighs (rough and smooth with one range, the better one with two)
are fitted from one start each by the optimiser GaussianProcessRegressor comes
with, and the best fills the cells of 5 mm with means and deviations.

Run: python3 field_sklearn.py [whole]
"""
import sys
import time
import warnings

import numpy as np
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern, WhiteKernel

WIDE, TALL = 1420.0, 1250.0


def mix(k):
    return (k * 2_654_435_761 % 2**32) / 2**32


def made(count):
    sites = np.array([[mix(2 * k + 1) * WIDE, mix(3 * k + 500_009) * TALL] for k in range(count)])
    noise = np.array([2.0 * (mix(7 * k + 11) - 0.5) for k in range(count)])
    return sites, 4.0 * np.sin(sites[:, 0] / 210.0) + 3.0 * np.cos(sites[:, 1] / 160.0) + noise


def timed(deed):
    deed()
    start, turns = time.process_time(), 0
    while time.process_time() - start < 0.5:
        deed()
        turns += 1
    return (time.process_time() - start) / turns


def fitted(sites, films, nu, ranges):
    kernel = ConstantKernel(16.0) * Matern(ranges, nu=nu) + WhiteKernel(1.0)
    return GaussianProcessRegressor(kernel, alpha=0.0).fit(sites, films)


def mapped(sites, films, cells):
    """Means and deviations of the field, without the error of a reading."""
    level = films.mean()
    rough = fitted(sites, films - level, 1.5, 450.0)
    smooth = fitted(sites, films - level, 2.5, 450.0)
    likelihood = lambda one: one.log_marginal_likelihood_value_
    best = max((rough, smooth), key=likelihood)
    two = fitted(sites, films - level, best.kernel_.k1.k2.nu, [450.0, 450.0])
    if likelihood(two) > likelihood(best) + 0.5 * np.log(len(films)):
        best = two
    noise = best.kernel_.k2.noise_level
    field = GaussianProcessRegressor(best.kernel_.k1, alpha=noise, optimizer=None).fit(sites, films - level)
    mean, sd = field.predict(cells, return_std=True)
    return mean + level, sd


def every_cell():
    """The middles of the cells of 5 mm of a panel."""
    k = np.arange(284 * 250)
    return np.column_stack([k % 284 * 5.0 + 2.5, k // 284 * 5.0 + 2.5])


def whole(panels=20, each=400):
    sites, films = made(panels * each)
    films = films + 115.0
    cells = every_cell()
    start, cpu = time.perf_counter(), time.process_time()
    for panel in range(panels):
        mean, sd = mapped(sites[panel::panels], films[panel::panels], cells)
        if panel == 0:
            for cell in range(500, len(cells), 1000):
                print(f"cell {cell} {cells[cell, 0]:.3f} {cells[cell, 1]:.3f} {mean[cell]:.6f} {sd[cell]:.6f}")
    print(f"car {panels} {each} {time.perf_counter() - start:.3f} {time.process_time() - cpu:.3f}")


def main():
    if sys.argv[1:] == ["whole"]:
        warnings.simplefilter("ignore")
        return whole()
    k = np.arange(10_000)
    cells = np.column_stack([k % 100 * 14.0 + 10.0, k // 100 * 12.0 + 10.0])
    panel = every_cell()
    for count in (20, 100, 200, 400):
        sites, films = made(count)
        kernel = ConstantKernel(16.0) * Matern(450.0, nu=1.5) + WhiteKernel(1.0)
        learner = GaussianProcessRegressor(kernel, alpha=0.0, optimizer=None).fit(sites, films)
        theta = learner.kernel_.theta
        value, _ = learner.log_marginal_likelihood(theta, eval_gradient=True)
        slope = timed(lambda: learner.log_marginal_likelihood(theta, eval_gradient=True))
        smooth = ConstantKernel(16.0) * Matern(450.0, nu=1.5)

        def predict(cells=cells):
            field = GaussianProcessRegressor(smooth, alpha=1.0, optimizer=None).fit(sites, films)
            return field.predict(cells, return_std=True)

        mean, sd = predict()
        spent = timed(predict)
        all_mean, all_sd = predict(panel)
        whole_s = timed(lambda: predict(panel))
        print(f"sklearn {count} {value:.12e} {float((mean + sd).sum()):.12e} {slope:.3e} {spent:.3e} "
              f"{float((all_mean + all_sd).sum()):.12e} {whole_s:.3e}", flush=True)


if __name__ == "__main__":
    main()
