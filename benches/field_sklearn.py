"""The film map's mathematics in scikit-learn: the same readings and kernel.

Likelihood with its slope, and prediction with deviations on 10,000 cells, as
`crates/job/examples/field_reference.rs` does. Prints one line for each number
of readings: likelihood, sum of means and deviations, seconds of processor for each.

Run: python3 field_sklearn.py
"""
import time

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


def main():
    k = np.arange(10_000)
    cells = np.column_stack([k % 100 * 14.0 + 10.0, k // 100 * 12.0 + 10.0])
    for count in (20, 100, 200, 400):
        sites, films = made(count)
        kernel = ConstantKernel(16.0) * Matern(450.0, nu=1.5) + WhiteKernel(1.0)
        learner = GaussianProcessRegressor(kernel, alpha=0.0, optimizer=None).fit(sites, films)
        theta = learner.kernel_.theta
        value, _ = learner.log_marginal_likelihood(theta, eval_gradient=True)
        slope = timed(lambda: learner.log_marginal_likelihood(theta, eval_gradient=True))
        smooth = ConstantKernel(16.0) * Matern(450.0, nu=1.5)

        def predict():
            field = GaussianProcessRegressor(smooth, alpha=1.0, optimizer=None).fit(sites, films)
            return field.predict(cells, return_std=True)

        mean, sd = predict()
        print(f"sklearn {count} {value:.12e} {float((mean + sd).sum()):.12e} {slope:.3e} {timed(predict):.3e}", flush=True)


if __name__ == "__main__":
    main()
