//! Times the film map's mathematics piece by piece: likelihood with its slope,
//! and the film of cells.
//!
//! Run: `cargo bench -p lapwing-measure --bench field`.

use divan::counter::ItemsCount;
use lapwing_measure::statistics::field::{
    Kernel, Level, Observations, Process, Repeated, Shape, Site, log_likelihood,
};

fn main() {
    divan::main();
}

const COUNTS: [u32; 5] = [20, 48, 100, 200, 400];
const CELLS: u32 = 1024;

fn made(count: u32) -> (Vec<Site>, Vec<f64>, Vec<f64>) {
    let mix = |k: u32| f64::from(k.wrapping_mul(2_654_435_761)) / 4_294_967_296.0;
    let sites: Vec<Site> = (0..count)
        .map(|k| [mix(2 * k + 1) * 1420.0, mix(3 * k + 500_009) * 1250.0])
        .collect();
    let films = sites.iter().map(|[u, v]| (u / 210.0).sin() + v / 900.0);
    let films = films.collect();
    (sites, films, vec![1.0; count as usize])
}

fn kernel() -> Kernel {
    Kernel::isotropic(Shape::Matern32, 4.0, 450.0)
}

#[divan::bench(args = COUNTS)]
fn slope(bencher: divan::Bencher<'_, '_>, count: u32) {
    let (sites, values, repeats) = made(count);
    bencher.bench(|| {
        let seen = Repeated {
            sites: &sites,
            values: &values,
            repeats: &repeats,
            level: Level::Unknown,
        };
        log_likelihood(&seen, kernel(), 1.0)
    });
}

#[divan::bench(args = COUNTS)]
fn condition(bencher: divan::Bencher<'_, '_>, count: u32) {
    let (sites, values, noise_variances) = made(count);
    bencher.bench(|| {
        let seen = Observations {
            sites: &sites,
            values: &values,
            noise_variances: &noise_variances,
        };
        Process::condition(kernel(), Level::Unknown, seen)
    });
}

#[divan::bench(args = COUNTS)]
fn cells(bencher: divan::Bencher<'_, '_>, count: u32) {
    let (sites, values, noise_variances) = made(count);
    let seen = Observations {
        sites: &sites,
        values: &values,
        noise_variances: &noise_variances,
    };
    let field = Process::condition(kernel(), Level::Unknown, seen).expect("a field");
    let asked: Vec<Site> = (0..CELLS)
        .map(|k| {
            [
                f64::from(k % 32) * 5.0 + 400.0,
                f64::from(k / 32) * 5.0 + 300.0,
            ]
        })
        .collect();
    bencher
        .counter(ItemsCount::new(CELLS))
        .bench(|| field.predict_all(&asked));
}
