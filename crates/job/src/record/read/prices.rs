//! Reads people and prices.
//!
//! Without [prices] no price is worked out; a single one that is not given
//! counts as nothing and is said so.
//! Checked by: `read/tests.rs`.

use lapwing_measure::quantity::Time;
use uom::si::time::hour;

use super::field::Reader;
use crate::record::job::{Person, Prices};
use crate::record::written::{WrittenPerson, WrittenPrices};
use crate::record::{Caution, InputError};

pub(super) fn people(
    reader: &Reader<'_>,
    written: &[WrittenPerson],
) -> Result<Vec<Person>, InputError> {
    reader.refuse_duplicates(
        "person",
        written
            .iter()
            .map(|p| (&p.name, p.name.0.get_ref().clone())),
    )?;
    let mut people = Vec::new();
    for person in written {
        let day = match &person.day {
            Some(text) => {
                let day: Time = reader.quantity(text, "day")?;
                reader.within(text, "day", (day.get::<hour>(), "h"), (0.5, 16.0))?;
                day
            }
            None => Time::new::<hour>(8.0),
        };
        people.push(Person {
            name: person.name.0.get_ref().clone(),
            day,
        });
    }
    if people.is_empty() {
        people.push(Person {
            name: "Technician".to_owned(),
            day: Time::new::<hour>(8.0),
        });
    }
    Ok(people)
}

pub(super) fn prices(
    reader: &Reader<'_>,
    written: Option<&WrittenPrices>,
    cautions: &mut Vec<Caution>,
) -> Result<Prices, InputError> {
    let Some(w) = written else {
        cautions.push(Caution::new(
            "prices",
            "No prices are given, so no price is worked out; add [prices].",
        ));
        return Ok(Prices::free());
    };
    let money = |n: &Option<crate::record::written::Number>, key: &str| {
        reader.number_or(n.as_ref(), key, (0.0, 1e6), 0.0)
    };
    let currency = w.currency.0.get_ref().trim().to_uppercase();
    if currency.chars().count() != 3 {
        return Err(reader.fault(
            &w.currency.0,
            format!(
                "currency is \"{}\"; allowed are three letters. Write \"GBP\", \"EUR\" or \"USD\".",
                w.currency.0.get_ref()
            ),
        ));
    }
    let unpriced: Vec<&str> = [
        (&w.cloth, "cloths"),
        (&w.clay_per_100_g, "clay"),
        (&w.wipe_per_litre, "panel wipe"),
        (&w.tape_per_m, "tape"),
    ]
    .into_iter()
    .filter_map(|(price, what)| price.is_none().then_some(what))
    .collect();
    if !unpriced.is_empty() {
        cautions.push(Caution::new(
            "prices",
            format!(
                "No price is given for {}: counted as 0.",
                unpriced.join(", ")
            ),
        ));
    }
    Ok(Prices {
        is_given: true,
        currency,
        labour_per_hour: reader.number_within(&w.labour_per_hour, "labour_per_hour", (0.0, 1e5))?,
        cost_per_hour: money(&w.cost_per_hour, "cost_per_hour")?,
        overhead_per_hour: money(&w.overhead_per_hour, "overhead_per_hour")?,
        contingency_frac: reader.number_or(
            w.contingency.as_ref(),
            "contingency",
            (0.0, 1.0),
            0.15,
        )?,
        tax_frac: reader.number_or(w.tax.as_ref(), "tax", (0.0, 1.0), 0.0)?,
        cloth: money(&w.cloth, "cloth")?,
        clay_per_100_g: money(&w.clay_per_100_g, "clay_per_100_g")?,
        wipe_per_litre: money(&w.wipe_per_litre, "wipe_per_litre")?,
        coating_per_10_ml: money(&w.coating_per_10_ml, "coating_per_10_ml")?,
        tape_per_m: money(&w.tape_per_m, "tape_per_m")?,
    })
}

impl Prices {
    /// Every amount zero.
    #[must_use]
    pub fn free() -> Self {
        Self {
            is_given: false,
            currency: "XXX".to_owned(),
            labour_per_hour: 0.0,
            cost_per_hour: 0.0,
            overhead_per_hour: 0.0,
            contingency_frac: 0.15,
            tax_frac: 0.0,
            cloth: 0.0,
            clay_per_100_g: 0.0,
            wipe_per_litre: 0.0,
            coating_per_10_ml: 0.0,
            tape_per_m: 0.0,
        }
    }
}
