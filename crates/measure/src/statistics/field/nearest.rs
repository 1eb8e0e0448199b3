//! The readings around a place, found without looking at all of them.
//!
//! Law: a tree that halves the readings along u and v in turn; a search leaves
//! out every half that cannot hold a nearer one. Building takes n·log n, a
//! search about log n.
//! Source: [`Source::Bentley1975`].
//! Holds: for any number of places, equal ones included.
//! Left out: adding readings later.
//! Checked by: looking at all of them, below.

use crate::source::Source;

use super::Site;

/// Where the tree is described.
pub const SOURCE: Source = Source::Bentley1975;

/// A tree over places.
#[derive(Clone, Debug)]
pub struct Neighbours {
    sites: Vec<Site>,
    /// Numbers of the places; the middle of every part is its root.
    order: Vec<usize>,
}

impl Neighbours {
    /// Builds the tree.
    #[must_use]
    pub fn of(sites: &[Site]) -> Self {
        let mut order: Vec<usize> = (0..sites.len()).collect();
        halve(sites, &mut order, 0);
        Self {
            sites: sites.to_vec(),
            order,
        }
    }

    /// Numbers of the `most` places nearest to one, nearest first; of places
    /// equally far the earlier ones.
    #[must_use]
    pub fn around(&self, site: Site, most: usize) -> Vec<usize> {
        let mut best = Best {
            most,
            found: Vec::with_capacity(most + 1),
        };
        self.search(&self.order, 0, site, &mut best);
        best.found.into_iter().map(|(_, number)| number).collect()
    }

    /// Numbers of at most `most` places that stand for all, evenly taken from
    /// the tree, in rising order.
    #[must_use]
    pub fn thinned(&self, most: usize) -> Vec<usize> {
        let all = self.order.len();
        if all <= most {
            return (0..all).collect();
        }
        let mut taken: Vec<usize> = (0..most).map(|k| self.order[k * all / most]).collect();
        taken.sort_unstable();
        taken
    }

    fn search(&self, part: &[usize], axis: usize, site: Site, best: &mut Best) {
        let middle = part.len() / 2;
        let Some(&root) = part.get(middle) else {
            return;
        };
        let at = self.sites[root];
        best.offer(square(at, site), root);
        let (low, high) = (&part[..middle], &part[middle + 1..]);
        let beyond = site[axis] - at[axis];
        let (near, far) = if beyond < 0.0 {
            (low, high)
        } else {
            (high, low)
        };
        self.search(near, 1 - axis, site, best);
        if best.could_use(beyond * beyond) {
            self.search(far, 1 - axis, site, best);
        }
    }
}

struct Best {
    most: usize,
    /// Squared distance and number, nearest first.
    found: Vec<(f64, usize)>,
}

impl Best {
    fn offer(&mut self, distance: f64, number: usize) {
        let is_before = |known: &(f64, usize)| {
            known
                .0
                .total_cmp(&distance)
                .then(known.1.cmp(&number))
                .is_lt()
        };
        let at = self.found.partition_point(is_before);
        if at < self.most {
            self.found.insert(at, (distance, number));
            self.found.truncate(self.most);
        }
    }

    fn could_use(&self, distance: f64) -> bool {
        self.found.len() < self.most || self.found.last().is_some_and(|last| distance <= last.0)
    }
}

fn square(a: Site, b: Site) -> f64 {
    (a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])
}

fn halve(sites: &[Site], part: &mut [usize], axis: usize) {
    if part.len() < 2 {
        return;
    }
    let middle = part.len() / 2;
    part.select_nth_unstable_by(middle, |a, b| {
        sites[*a][axis].total_cmp(&sites[*b][axis]).then(a.cmp(b))
    });
    let (low, high) = part.split_at_mut(middle);
    halve(sites, low, 1 - axis);
    halve(sites, &mut high[1..], 1 - axis);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scattered(count: u32) -> Vec<Site> {
        // A fixed scrambling of the number stands in for chance.
        let mix = |k: u32| f64::from(k.wrapping_mul(2_654_435_761) >> 12);
        (0..count).map(|k| [mix(k), mix(k + 77_777)]).collect()
    }

    #[test]
    fn finds_the_same_as_looking_at_all() {
        let sites = scattered(700);
        let tree = Neighbours::of(&sites);
        for from in scattered(40).into_iter().map(|s| [s[1], s[0]]) {
            let mut all: Vec<usize> = (0..sites.len()).collect();
            all.sort_by(|a, b| {
                square(sites[*a], from)
                    .total_cmp(&square(sites[*b], from))
                    .then(a.cmp(b))
            });
            assert_eq!(tree.around(from, 17), all[..17]);
        }
    }

    #[test]
    fn equal_places_and_few_places_are_fine() {
        let tree = Neighbours::of(&[[1.0, 1.0]; 9]);
        assert_eq!(tree.around([0.0, 0.0], 4), [0, 1, 2, 3]);
        assert_eq!(tree.around([0.0, 0.0], 40).len(), 9);
        assert!(Neighbours::of(&[]).around([0.0, 0.0], 3).is_empty());
        assert!(tree.around([0.0, 0.0], 0).is_empty());
    }

    #[test]
    fn a_thinned_set_covers_the_whole() {
        let sites = scattered(4000);
        let taken = Neighbours::of(&sites).thinned(100);
        assert_eq!(taken.len(), 100);
        let left = taken.iter().filter(|i| sites[**i][0] < 524_288.0).count();
        assert!((35..=65).contains(&left), "{left} of 100 in the left half");
    }
}
