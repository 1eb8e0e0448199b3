//! Which colour a number has: thick film is dark, thin film is pale, and a
//! colour means one value on every page.
//!
//! Law: stops at equal steps of the value, straight lines in OKLab between
//! them, read once for each band at its middle.
//! Source: ours; the stops were computed at equal OKLab distances and checked
//! to fall in lightness for normal, protan, deutan and tritan eyes (simulation
//! of Machado, Oliveira, Fernandes 2009). Budget end: 0.5 mil = 12.7 µm.
//! Holds: inside the scale. Below it a number keeps the first colour and
//! [`Scale::is_below`] says so; above it the last colour and
//! [`Scale::is_above`]. Film pictures give both their own shape.
//! Left out: stretching a scale to the data; only removal and temperature pick
//! one of a few fixed ends, round in the unit that is read, because a finish pass
//! and a heavy cut differ tenfold.
//! Checked by: the stops themselves, band colours computed independently in
//! another language, falling lightness, and contrast of the text on each band.

use super::colour::Rgb;
use super::flatcar::Labels;
use super::ticks;

/// Micrometres in one mil, by definition of the inch.
const UM_PER_MIL: f64 = 25.4;

/// What a scale measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Whole film, gauge to metal, µm.
    Film,
    /// Clear coat left, worked out, µm.
    ClearLeft,
    /// What may go, µm.
    Budget,
    /// What was or will be taken off, µm.
    Removal,
    /// Surface temperature, °C.
    Temperature,
}

/// The units a picture speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// µm, °C, mm.
    #[default]
    Metric,
    /// mil, °F, in.
    Customary,
}

/// A limit drawn as a wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Wall {
    /// Where it stands, in the unit of the scale or axis it belongs to.
    pub at: f64,
    /// What it is called: "warn", "stop", "least to keep".
    pub label: String,
}

/// A fixed colour scale. Values are µm, or °C for temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    quantity: Quantity,
    low: f64,
    high: f64,
    band: f64,
    first_stop: f64,
    last_stop: f64,
    stops: &'static [Rgb],
}

const FILM: [Rgb; 11] = [
    Rgb::hex(0x00f6_ebb1),
    Rgb::hex(0x00d6_db8f),
    Rgb::hex(0x00b1_cb7e),
    Rgb::hex(0x0087_bb7f),
    Rgb::hex(0x0060_a981),
    Rgb::hex(0x003e_9584),
    Rgb::hex(0x001f_7f81),
    Rgb::hex(0x0006_697a),
    Rgb::hex(0x0007_526c),
    Rgb::hex(0x0013_3c59),
    Rgb::hex(0x0016_2746),
];

const HEAT: [Rgb; 9] = [
    Rgb::hex(0x00e3_eff8),
    Rgb::hex(0x00e8_d7b2),
    Rgb::hex(0x00e9_b771),
    Rgb::hex(0x00e3_9142),
    Rgb::hex(0x00d4_6b2b),
    Rgb::hex(0x00ba_4a24),
    Rgb::hex(0x0099_3026),
    Rgb::hex(0x0073_1f21),
    Rgb::hex(0x004d_151b),
];

const HEATHER: [Rgb; 7] = [
    Rgb::hex(0x00f5_edf4),
    Rgb::hex(0x00e0_c5e3),
    Rgb::hex(0x00c7_9fd0),
    Rgb::hex(0x00ab_7bba),
    Rgb::hex(0x0089_5ba0),
    Rgb::hex(0x0065_407f),
    Rgb::hex(0x0042_2b5b),
];

/// The ends a removal scale may have, each of ten bands: µm and mil.
const REMOVAL_ENDS: [&[f64]; 2] = [
    &[
        0.5, 1.0, 2.0, 2.5, 4.0, 5.0, 10.0, 20.0, 25.0, 40.0, 50.0, 100.0,
    ],
    &[
        0.02, 0.025, 0.04, 0.05, 0.1, 0.2, 0.25, 0.4, 0.5, 1.0, 2.0, 2.5, 4.0, 5.0,
    ],
];
/// The bands a temperature scale of nine may have, °C and °F, and where it
/// begins unless the panel starts colder.
const HEAT_BANDS: [&[f64]; 2] = [
    &[2.0, 5.0, 10.0, 20.0, 50.0],
    &[5.0, 10.0, 20.0, 50.0, 100.0],
];
const HEAT_STARTS: [f64; 2] = [20.0, 70.0];

impl Scale {
    /// Whole film, 60 to 160 µm, in bands of 5 µm.
    #[must_use]
    pub const fn film() -> Self {
        Self {
            quantity: Quantity::Film,
            low: 60.0,
            high: 160.0,
            band: 5.0,
            first_stop: 60.0,
            last_stop: 160.0,
            stops: &FILM,
        }
    }

    /// Clear coat left, 0 to 60 µm, in bands of 3 µm, the colours of film.
    #[must_use]
    pub const fn clear_left() -> Self {
        Self {
            quantity: Quantity::ClearLeft,
            low: 0.0,
            high: 60.0,
            band: 3.0,
            first_stop: 0.0,
            last_stop: 60.0,
            stops: &FILM,
        }
    }

    /// What may go, 0 to 12.7 µm (half a mil), in ten bands, the colours of
    /// film: dark where there is much to give.
    #[must_use]
    pub const fn budget() -> Self {
        Self {
            quantity: Quantity::Budget,
            low: 0.0,
            high: 12.7,
            band: 1.27,
            first_stop: 0.0,
            last_stop: 12.7,
            stops: &FILM,
        }
    }

    /// Surface temperature, 20 to 65 °C, one stop for each 5 °C.
    #[must_use]
    pub const fn temperature() -> Self {
        Self {
            quantity: Quantity::Temperature,
            low: 20.0,
            high: 65.0,
            band: 5.0,
            first_stop: 22.5,
            last_stop: 62.5,
            stops: &HEAT,
        }
    }

    /// Removal from 0 to the smallest of 0.5, 1, 2, 2.5, 4, 5, 10, ... µm
    /// that holds `most_um`. Two pictures to compare must be given the same `most_um`.
    #[must_use]
    pub fn removal(most_um: f64) -> Self {
        Self::removal_in(most_um, Units::Metric)
    }

    /// The same with ends and bands that are round in the unit people read:
    /// 0.02, 0.025, 0.04, 0.05, 0.1, ... mil.
    #[must_use]
    pub fn removal_in(most_um: f64, units: Units) -> Self {
        let (ends, unit_um) = match units {
            Units::Metric => (REMOVAL_ENDS[0], 1.0),
            Units::Customary => (REMOVAL_ENDS[1], UM_PER_MIL),
        };
        let mut reach = ends.iter().map(|end| end * unit_um);
        let last = ends.last().copied().unwrap_or(1.0) * unit_um;
        let high = reach
            .find(|end| *end >= most_um * (1.0 - 1e-9))
            .unwrap_or(last);
        Self {
            quantity: Quantity::Removal,
            low: 0.0,
            high,
            band: high / 10.0,
            first_stop: 0.0,
            last_stop: high,
            stops: &HEATHER,
        }
    }

    /// Surface temperature in nine bands that are round in the unit people read,
    /// wide enough for `ends_c`, the coldest and the hottest there is.
    #[must_use]
    pub fn temperature_of(ends_c: (f64, f64), units: Units) -> Self {
        let bare = Self::temperature();
        let at = usize::from(units == Units::Customary);
        let (coldest, hottest) = (bare.shown(ends_c.0, units), bare.shown(ends_c.1, units));
        let low = HEAT_STARTS[at].min((coldest / 10.0).floor() * 10.0);
        let bands = HEAT_BANDS[at];
        let widest = bands.last().copied().unwrap_or(1.0);
        let band = bands
            .iter()
            .copied()
            .find(|band| low + 9.0 * band >= hottest)
            .unwrap_or(widest);
        let place = |band_at: f64| bare.meant(low + band_at * band, units);
        Self {
            low: place(0.0),
            high: place(9.0),
            band: place(1.0) - place(0.0),
            first_stop: place(0.5),
            last_stop: place(8.5),
            ..bare
        }
    }

    /// What this scale measures.
    #[must_use]
    pub fn quantity(&self) -> Quantity {
        self.quantity
    }

    /// Lower end, µm or °C.
    #[must_use]
    pub fn low(&self) -> f64 {
        self.low
    }

    /// Upper end, µm or °C.
    #[must_use]
    pub fn high(&self) -> f64 {
        self.high
    }

    /// The colour at a value, without bands.
    #[must_use]
    pub fn colour(&self, value: f64) -> Rgb {
        let last = self.stops.len() - 1;
        let place = (value - self.first_stop) / (self.last_stop - self.first_stop);
        let place = if place.is_nan() {
            0.0
        } else {
            place.clamp(0.0, 1.0)
        };
        let mut at = place * steps(last);
        let mut i = 0;
        while at >= 1.0 && i < last {
            at -= 1.0;
            i += 1;
        }
        if at <= 0.0 || i == last {
            self.stops[i]
        } else {
            self.stops[i].mix(self.stops[i + 1], at)
        }
    }

    /// The colour of the band a value lies in: the colour at its middle.
    #[must_use]
    pub fn banded(&self, value: f64) -> Rgb {
        let last = ((self.high - self.low) / self.band).round() - 1.0;
        let index = ((value - self.low) / self.band + 1e-9).floor();
        let index = if index.is_nan() {
            0.0
        } else {
            index.clamp(0.0, last)
        };
        self.colour(self.low + (index + 0.5) * self.band)
    }

    /// The inner borders between bands, from low to high.
    #[must_use]
    pub fn borders(&self) -> Vec<f64> {
        let count = ((self.high - self.low) / self.band).round();
        let mut borders = Vec::new();
        let mut k = 1.0;
        while k < count {
            borders.push(self.low + k * self.band);
            k += 1.0;
        }
        borders
    }

    /// The width of a band, µm or °C.
    #[must_use]
    pub fn band(&self) -> f64 {
        self.band
    }

    /// Whether a value lies under the scale.
    #[must_use]
    pub fn is_below(&self, value: f64) -> bool {
        value < self.low
    }

    /// Whether a value lies over the scale.
    #[must_use]
    pub fn is_above(&self, value: f64) -> bool {
        value > self.high
    }

    /// The value in the unit people chose: µm or mil, °C or °F.
    #[must_use]
    pub fn shown(&self, value: f64, units: Units) -> f64 {
        match (units, self.quantity) {
            (Units::Metric, _) => value,
            (Units::Customary, Quantity::Temperature) => value * 1.8 + 32.0,
            (Units::Customary, _) => value / UM_PER_MIL,
        }
    }

    /// The other way round: a shown number as µm or °C.
    #[must_use]
    pub fn meant(&self, shown: f64, units: Units) -> f64 {
        match (units, self.quantity) {
            (Units::Metric, _) => shown,
            (Units::Customary, Quantity::Temperature) => (shown - 32.0) / 1.8,
            (Units::Customary, _) => shown * UM_PER_MIL,
        }
    }

    /// The unit's sign.
    #[must_use]
    pub fn unit(&self, units: Units) -> &'static str {
        match (units, self.quantity) {
            (Units::Metric, Quantity::Temperature) => "°C",
            (Units::Customary, Quantity::Temperature) => "°F",
            (Units::Metric, _) => "μm",
            (Units::Customary, _) => "mil",
        }
    }

    /// What the scale shows, with its unit: "μm, may go".
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        self.words_in(units, Labels::default())
    }

    /// The same in another language.
    #[must_use]
    pub fn words_in(&self, units: Units, labels: Labels) -> String {
        let what = match self.quantity {
            Quantity::Film => "total film",
            Quantity::ClearLeft => "clear left, worked out",
            Quantity::Budget => "may go",
            Quantity::Removal => "taken off",
            Quantity::Temperature => "surface",
        };
        format!("{}, {}", self.unit(units), labels.say(what))
    }

    /// Round ticks: the value (µm or °C) and its label in the chosen unit.
    #[must_use]
    pub fn ticks(&self, units: Units, most: u32) -> Vec<(f64, String)> {
        let (low, high) = (self.shown(self.low, units), self.shown(self.high, units));
        let (places, decimals) = ticks::ticks(low, high, most);
        places
            .into_iter()
            .map(|shown| (self.meant(shown, units), ticks::written(shown, decimals)))
            .collect()
    }
}

#[expect(clippy::cast_precision_loss, reason = "a scale has a dozen stops")]
fn steps(count: usize) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> Vec<Scale> {
        vec![
            Scale::film(),
            Scale::clear_left(),
            Scale::budget(),
            Scale::temperature(),
            Scale::removal(2.0),
            Scale::removal(20.0),
        ]
    }

    #[test]
    fn each_film_stop_has_its_own_colour() {
        let film = Scale::film();
        for (i, um) in (60..=160).step_by(10).enumerate() {
            assert_eq!(film.colour(f64::from(um)), FILM[i], "{um} µm");
        }
        assert_eq!(Scale::clear_left().colour(60.0), FILM[10]);
        assert_eq!(Scale::budget().colour(0.0), FILM[0]);
        assert_eq!(Scale::removal(2.0).colour(2.0), HEATHER[6]);
        assert_eq!(Scale::temperature().banded(61.0), HEAT[8]);
    }

    #[test]
    fn colours_between_stops_agree_with_an_independent_computation() {
        // Midpoints of the film stops, computed in Python from Ottosson's
        // matrices for the page mock-ups.
        let midpoints = [
            (65.0, "#e6e3a0"),
            (75.0, "#c4d386"),
            (85.0, "#9cc37f"),
            (95.0, "#74b280"),
            (105.0, "#509f83"),
            (115.0, "#308a83"),
            (125.0, "#14747e"),
            (135.0, "#065d73"),
            (145.0, "#0f4762"),
            (155.0, "#15314f"),
        ];
        for (um, expected) in midpoints {
            let [got, want] = [Scale::film().colour(um).to_string(), expected.to_owned()];
            let channel = |text: &str, i: usize| {
                i32::from_str_radix(&text[1 + 2 * i..3 + 2 * i], 16).expect("two digits")
            };
            for i in 0..3 {
                assert!(
                    (channel(&got, i) - channel(&want, i)).abs() <= 1,
                    "{um}: {got} {want}"
                );
            }
        }
    }

    #[test]
    fn more_ink_means_more_on_every_scale() {
        for scale in all() {
            let middles: Vec<f64> = std::iter::once(scale.low())
                .chain(scale.borders())
                .map(|border| scale.banded(border).oklab()[0])
                .collect();
            assert!(
                middles.windows(2).all(|pair| pair[0] > pair[1]),
                "{scale:?}"
            );
        }
    }

    #[test]
    fn text_on_any_band_and_any_value_reads_at_four_and_a_half() {
        for scale in all() {
            for k in 0..=1000 {
                let value = scale.low() + (scale.high() - scale.low()) * f64::from(k) / 1000.0;
                for colour in [scale.colour(value), scale.banded(value)] {
                    assert!(
                        colour.contrast(colour.text()) >= 4.5,
                        "{scale:?} at {value}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_band_holds_one_colour_and_its_border_starts_the_next() {
        let film = Scale::film();
        assert_eq!(film.banded(100.0), film.banded(104.99));
        assert_ne!(film.banded(104.99), film.banded(105.0));
        assert_eq!(film.borders().len(), 19);
        assert_eq!(Scale::budget().borders().len(), 9);
    }

    #[test]
    fn values_off_the_scale_are_said_to_be_off() {
        let film = Scale::film();
        assert!(film.is_below(59.9) && film.is_above(160.1) && !film.is_above(160.0));
        assert_eq!(film.banded(500.0), film.banded(159.0));
        assert_eq!(film.banded(f64::NAN), film.banded(60.0));
    }

    #[test]
    fn ticks_are_round_in_the_unit_shown() {
        let labels = |scale: Scale, units| -> Vec<String> {
            scale
                .ticks(units, 5)
                .into_iter()
                .map(|(_, label)| label)
                .collect()
        };
        let film = labels(Scale::film(), Units::Metric);
        assert_eq!(film, ["60", "80", "100", "120", "140", "160"]);
        let mil = labels(Scale::budget(), Units::Customary);
        assert_eq!(mil, ["0.0", "0.1", "0.2", "0.3", "0.4", "0.5"]);
        let heat = labels(Scale::temperature(), Units::Customary);
        assert_eq!(heat, ["80", "100", "120", "140"]);
    }

    #[test]
    fn units_go_there_and_back() {
        for scale in all() {
            let shown = scale.shown(37.5, Units::Customary);
            assert!((scale.meant(shown, Units::Customary) - 37.5).abs() < 1e-12);
        }
        // 140 °F is 60 °C.
        let heat = Scale::temperature();
        assert!((heat.meant(140.0, Units::Customary) - 60.0).abs() < 1e-12);
    }

    #[test]
    fn a_us_scale_has_round_bands_in_mil_and_fahrenheit() {
        let film = Scale::removal_in(3.3, Units::Customary);
        assert!((film.shown(film.high(), Units::Customary) - 0.2).abs() < 1e-12);
        assert!((film.shown(film.band(), Units::Customary) - 0.02).abs() < 1e-12);
        // 64.7 °C is 148 °F: nine bands of 10 °F from 70 °F.
        let heat = Scale::temperature_of((25.0, 64.7), Units::Customary);
        let borders: Vec<f64> = heat
            .borders()
            .iter()
            .map(|c| heat.shown(*c, Units::Customary).round())
            .collect();
        assert_eq!(
            borders,
            [80.0, 90.0, 100.0, 110.0, 120.0, 130.0, 140.0, 150.0]
        );
    }

    #[test]
    fn a_temperature_scale_holds_the_coldest_and_the_hottest() {
        for (cold, hot, low, high) in [
            (25.0, 35.0, 20.0, 38.0),
            (25.0, 64.0, 20.0, 65.0),
            (25.0, 82.3, 20.0, 110.0),
            (-4.0, 70.0, -10.0, 80.0),
        ] {
            let scale = Scale::temperature_of((cold, hot), Units::Metric);
            assert!((scale.low() - low).abs() < 1e-9 && (scale.high() - high).abs() < 1e-9);
        }
        assert_eq!(
            Scale::temperature_of((25.0, 60.0), Units::Metric),
            Scale::temperature()
        );
    }

    #[test]
    fn removal_takes_the_smallest_end_that_holds_the_most() {
        for (most, end) in [
            (0.3, 0.5),
            (2.0, 2.0),
            (2.1, 2.5),
            (4.1, 5.0),
            (99.0, 100.0),
        ] {
            assert!((Scale::removal(most).high() - end).abs() < 1e-12, "{most}");
        }
    }
}
