//! Cuts the panel into bands of rows and lets all threads step them on.
//!
//! Law: none. A band takes a block of steps by itself, as many as the rows it
//! keeps of its neighbours last for; then it lays its outermost rows out for
//! them and takes theirs. A band waits for its neighbours only, never for all,
//! and any thread takes any band that may go on, so a thread that is called
//! away holds up as little as possible, and one thread alone gets through.
//! Holds: the answer is the same to the last bit for any number of threads.
//! Left out: bands along x; bands that move with the pad.
//! Checked by: thread counts against each other.

use std::hint::spin_loop;
use std::ops::Range;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::error::HeatError;
use super::problem::HeatWatch;
use super::tile::{Model, Step, Tile};

/// Rows kept of a neighbour, when there is a choice.
const KEPT_ROWS: usize = 6;
/// Most steps of a block.
const BLOCK_STEPS: usize = 64;
/// Looks for a band that may go on before a thread lets others have its processor.
const LOOKS: usize = 2000;

/// Takes all steps and returns the bands as they stand at the end.
pub(crate) fn step_all(model: &Model<'_>, watch: HeatWatch<'_>) -> Result<Vec<Tile>, HeatError> {
    let most_sweeps = model.steps.iter().map(Step::sweeps).max().unwrap_or(0);
    let rows = model.plane.y.len();
    let threads = rayon::current_num_threads();
    // Where the work gathers under the pad, more bands than threads even it out.
    let is_even = model.steps.iter().all(|step| step.far.is_none());
    let wanted = if is_even { threads } else { 4 * threads };
    let mut halo = KEPT_ROWS.max(most_sweeps);
    let bands = if threads == 1 { 1 } else { wanted };
    let bands = bands.min(rows / halo.max(8)).max(1);
    if bands == 1 {
        halo = 0;
    }
    let cut = |band: usize| rows * band / bands;
    let tiles = (0..bands).map(|band| Tile::new(model, cut(band)..cut(band + 1), halo));
    let blocks = blocks(model, if bands == 1 { usize::MAX } else { halo });
    let work = Work {
        bands: tiles.map(|tile| Band::new(tile, model, halo)).collect(),
        blocks,
        halo,
        model,
        watch,
        is_stopped: AtomicBool::new(false),
    };
    rayon::scope(|scope| {
        for first in 1..threads.min(bands) {
            let work = &work;
            scope.spawn(move |_| work.help(first));
        }
        work.help(0);
    });
    if work.is_stopped.load(Ordering::Acquire) {
        return Err(HeatError::Cancelled);
    }
    let tile = |band: Band| {
        let tile = band.tile.into_inner();
        tile.unwrap_or_else(PoisonError::into_inner)
    };
    Ok(work.bands.into_iter().map(tile).collect())
}

/// The steps in blocks, each as long as the kept rows last.
fn blocks(model: &Model<'_>, sweeps_allowed: usize) -> Vec<Range<usize>> {
    let mut blocks = Vec::new();
    let mut first = 0;
    while first < model.steps.len() {
        let mut sweeps = 0;
        let rest = model.steps.iter().skip(first).take(BLOCK_STEPS);
        let fits = rest.take_while(|step| {
            sweeps += step.sweeps();
            sweeps <= sweeps_allowed
        });
        let end = first + fits.count().max(1);
        blocks.push(first..end);
        first = end;
    }
    blocks
}

/// A band, how many blocks it has taken, and its outermost own rows as they
/// stood after the last two of them: a neighbour is never farther behind.
struct Band {
    tile: Mutex<Tile>,
    done: AtomicUsize,
    edges: [Mutex<Edges>; 2],
}

/// The rows a band hands to the band before it and to the one after.
#[derive(Default)]
struct Edges {
    first: Vec<f32>,
    last: Vec<f32>,
}

impl Band {
    fn new(tile: Tile, model: &Model<'_>, halo: usize) -> Self {
        let band = Self {
            tile: Mutex::new(tile),
            done: AtomicUsize::new(0),
            edges: [Mutex::default(), Mutex::default()],
        };
        lay_out(&mut held(&band.edges[0]), &held(&band.tile), model, halo);
        band
    }
}

/// A thread that panicked passes its panic on through the pool; what it held
/// is not read any more.
fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// All bands, and what the threads that work on them share.
struct Work<'a> {
    bands: Vec<Band>,
    blocks: Vec<Range<usize>>,
    halo: usize,
    model: &'a Model<'a>,
    watch: HeatWatch<'a>,
    is_stopped: AtomicBool,
}

/// Stops the other threads when this one panics.
struct Alarm<'a>(&'a AtomicBool);

impl Drop for Alarm<'_> {
    fn drop(&mut self) {
        if std::thread::panicking() {
            self.0.store(true, Ordering::Release);
        }
    }
}

impl Work<'_> {
    /// Takes blocks of bands until all are done, one's own band first.
    fn help(&self, own: usize) {
        let _alarm = Alarm(&self.is_stopped);
        let count = self.bands.len();
        let mut looks = 0;
        while !self.is_stopped.load(Ordering::Acquire) {
            let mut order = (0..count).map(|k| (own + k) % count);
            if order.any(|band| self.advance(band)) {
                looks = 0;
                continue;
            }
            if (0..count).all(|band| self.done(band) == self.blocks.len()) {
                return;
            }
            looks += 1;
            if looks < LOOKS {
                spin_loop();
            } else {
                looks = 0;
                std::thread::yield_now();
            }
        }
    }

    fn done(&self, band: usize) -> usize {
        self.bands[band].done.load(Ordering::Acquire)
    }

    /// Blocks a band's neighbours have laid their rows out for.
    fn ready(&self, band: usize) -> usize {
        let before = band.checked_sub(1).map_or(usize::MAX, |b| self.done(b));
        let after = (band + 1 < self.bands.len()).then(|| self.done(band + 1));
        before.min(after.unwrap_or(usize::MAX))
    }

    /// Takes the next block of a band, if it may go on and nobody is at it.
    fn advance(&self, band: usize) -> bool {
        let it = &self.bands[band];
        let may = || self.done(band) < self.blocks.len() && self.ready(band) >= self.done(band);
        if !may() {
            return false;
        }
        let Ok(mut tile) = it.tile.try_lock() else {
            return false;
        };
        // Somebody may have taken it just before.
        let block = self.done(band);
        if !may() || self.is_cancelled(band, block) {
            return false;
        }
        self.take_in(&mut tile, band, block);
        tile.run(self.model, self.blocks[block].clone());
        let edges = &it.edges[(block + 1) % 2];
        lay_out(&mut held(edges), &tile, self.model, self.halo);
        it.done.store(block + 1, Ordering::Release);
        true
    }

    fn is_cancelled(&self, band: usize, block: usize) -> bool {
        let done_frac = self.blocks[block].start as f64 / self.model.steps.len() as f64;
        let is_cancelled = band == 0 && self.watch.report(done_frac).is_err();
        if is_cancelled {
            self.is_stopped.store(true, Ordering::Release);
        }
        is_cancelled
    }

    /// Takes the neighbours' outermost rows as they stood before a block.
    fn take_in(&self, tile: &mut Tile, band: usize, block: usize) {
        let length = self.model.cells.len() * self.model.plane.stride;
        if let Some(before) = band.checked_sub(1) {
            let edges = held(&self.bands[before].edges[block % 2]);
            let rows = (tile.own.start - tile.kept.start) * length;
            tile.state[..rows].copy_from_slice(&edges.last[edges.last.len() - rows..]);
        }
        if let Some(after) = self.bands.get(band + 1) {
            let edges = held(&after.edges[block % 2]);
            let rows = (tile.kept.end - tile.own.end) * length;
            let start = tile.state.len() - rows;
            tile.state[start..].copy_from_slice(&edges.first[..rows]);
        }
    }
}

/// Copies a band's outermost own rows for its neighbours.
fn lay_out(edges: &mut Edges, tile: &Tile, model: &Model<'_>, halo: usize) {
    let length = model.cells.len() * model.plane.stride;
    let own = (tile.own.start - tile.kept.start) * length;
    let end = own + tile.own.len() * length;
    let rows = halo * length;
    edges.first.clear();
    edges.first.extend_from_slice(&tile.state[own..own + rows]);
    edges.last.clear();
    edges.last.extend_from_slice(&tile.state[end - rows..end]);
}
