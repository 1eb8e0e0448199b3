//! How far the kernel itself may be off: a few kernels that stand for all
//! that the readings leave plausible, with their shares.
//!
//! Law: near its top the log-posterior bends like a bell with covariance
//! Σ = (−∂²/∂θ²)⁻¹, θ = ln s, ln ℓ, ln τ. Points θ̂ and θ̂ ± √(p + 1)·Lₖ, L·Lᵀ = Σ,
//! with shares 1/(p + 1) and 1/(2p + 2), each corrected by how much higher or
//! lower the posterior is there than the bell.
//! Source: points of [`Source::JulierUhlmann1997`]; correcting points by the
//! posterior after [`Source::RueMartinoChopin2009`] section 6.5.
//! Holds: for any number of readings. With few the kernels differ widely, with
//! a hundred they are nearly one.
//! Left out: kernels far from the top; other shapes.
//! Checked by: shares add to one; few readings spread the kernels, many draw
//! them together; coverage of drawn panels in the film map.

use nalgebra::DMatrix;

use crate::source::Source;
use crate::statistics::StatisticsError;
use crate::statistics::error::number;

use super::learn::Hill;
use super::{Beliefs, Learned, Ranges, Repeated};

/// Where the points and their correction are described.
pub const SOURCES: [Source; 2] = [Source::JulierUhlmann1997, Source::RueMartinoChopin2009];

/// Step of the differences, in logarithms.
const STEP: f64 = 1e-3;

/// A correction never goes beyond this factor.
const MOST_CORRECTION: f64 = 20.0;

/// Kernels about the learnt one, each with its share; the shares add to one.
///
/// # Errors
/// As [`super::learn()`].
pub fn plausible(
    seen: &Repeated<'_>,
    beliefs: &Beliefs,
    learned: &Learned,
) -> Result<Vec<(Learned, f64)>, StatisticsError> {
    let kernel = learned.kernel;
    let ranges = if (kernel.range_u - kernel.range_v).abs() > 0.0 {
        Ranges::Two
    } else {
        Ranges::One
    };
    let hill = Hill::new(seen, beliefs, kernel.shape, ranges)?;
    let top = hill.theta(learned);
    let lower = spread(&hill, &top)?;
    let parameters = number(top.len());
    let reach = (parameters + 1.0).sqrt();
    let mut found = vec![(*learned, 1.0 / (parameters + 1.0))];
    for axis in 0..top.len() {
        for sign in [1.0, -1.0] {
            let theta: Vec<f64> = (0..top.len())
                .map(|k| top[k] + sign * reach * lower[(k, axis)])
                .collect();
            let Ok((height, _, log_likelihood)) = hill.at(&theta) else {
                continue;
            };
            let bell = learned.log_posterior - 0.5 * reach * reach;
            let correction = (height - bell)
                .exp()
                .clamp(1.0 / MOST_CORRECTION, MOST_CORRECTION);
            let other = Learned {
                kernel: hill.kernel(&theta),
                noise_sd: hill.noise_sd(&theta),
                log_likelihood,
                log_posterior: height,
            };
            found.push((other, correction / (2.0 * parameters + 2.0)));
        }
    }
    let total: f64 = found.iter().map(|(_, share)| share).sum();
    for (_, share) in &mut found {
        *share /= total;
    }
    Ok(found)
}

/// Lower factor of Σ; the beliefs' own spread where the top is no top.
fn spread(hill: &Hill<'_>, top: &[f64]) -> Result<DMatrix<f64>, StatisticsError> {
    let n = top.len();
    let mut bend = DMatrix::zeros(n, n);
    for k in 0..n {
        let moved = |by: f64| {
            let mut theta = top.to_vec();
            theta[k] += by;
            hill.at(&theta).map(|(_, slope, _)| slope)
        };
        let (up, down) = (moved(STEP)?, moved(-STEP)?);
        for i in 0..n {
            bend[(i, k)] = (down[i] - up[i]) / (2.0 * STEP);
        }
    }
    let bend = (&bend + bend.transpose()) * 0.5;
    let believed: Vec<f64> = hill.beliefs.iter().map(|b| b.log_sd).collect();
    let fallback = || DMatrix::from_diagonal(&believed.clone().into());
    let lower = bend
        .cholesky()
        .map(|c| c.inverse())
        .and_then(|covariance| covariance.cholesky())
        .map_or_else(fallback, |c| c.unpack());
    Ok(lower)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::field::{Belief, Level, Site, pick};

    fn kernels(side: u32) -> Vec<(Learned, f64)> {
        let sites: Vec<Site> = (0..side * side)
            .map(|k| [f64::from(k % side) * 90.0, f64::from(k / side) * 80.0])
            .collect();
        let values: Vec<f64> = sites
            .iter()
            .map(|[u, v]| 115.0 + 4.0 * (u / 210.0).sin() + 3.0 * (v / 160.0).cos())
            .collect();
        let belief = |middle: f64, log_sd: f64| Belief { middle, log_sd };
        let beliefs = Beliefs {
            sd: belief(4.0, 0.6),
            range: belief(400.0, 0.5),
            noise_sd: belief(1.0, 0.3),
        };
        let seen = Repeated {
            sites: &sites,
            values: &values,
            repeats: &vec![1.0; sites.len()],
            level: Level::Unknown,
        };
        let learned = pick(&seen, &beliefs).expect("a kernel");
        plausible(&seen, &beliefs, &learned).expect("kernels")
    }

    fn width(kernels: &[(Learned, f64)]) -> f64 {
        let sds: Vec<f64> = kernels.iter().map(|(k, _)| k.kernel.sd.ln()).collect();
        let most = sds.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        most - sds.iter().copied().fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn the_shares_add_to_one_and_the_learnt_kernel_leads() {
        let found = kernels(2);
        assert_eq!(found.len(), 7);
        assert!((found.iter().map(|(_, s)| s).sum::<f64>() - 1.0).abs() < 1e-12);
        let best = found[0].0.log_posterior;
        assert!(found.iter().all(|(k, _)| k.log_posterior <= best + 1e-6));
    }

    #[test]
    fn many_readings_draw_the_kernels_together() {
        let (few, many) = (width(&kernels(1)), width(&kernels(9)));
        // With one reading: the belief itself, 2·2·0.6 wide.
        assert!((few - 2.4).abs() < 1e-3, "{few}");
        assert!(many < 0.6 * few, "{many}");
    }
}
