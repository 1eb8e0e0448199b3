//! Fills a store with invented jobs.

use std::ops::Range;
use std::path::Path;

use lapwing_store::{Author, Change, Edit, Places, Store};
use serde_json::json;

use super::Outcome;

const PANELS: [&str; 10] = [
    "bonnet",
    "roof",
    "tailgate",
    "front-wing-left",
    "front-wing-right",
    "front-door-left",
    "front-door-right",
    "rear-door-left",
    "quarter-left",
    "quarter-right",
];

/// The id of a job.
pub(crate) fn id(n: usize) -> String {
    format!("j-load-{n:06}")
}

/// Opens jobs with so many readings each.
pub(crate) fn jobs(data: &Path, numbers: Range<usize>, readings: usize) -> Outcome<()> {
    std::fs::create_dir_all(data)?;
    let runtime = tokio::runtime::Runtime::new()?;
    runtime.block_on(async {
        let store = Store::open(&Places::in_folder(data)).await?;
        let shop = match store.shops().await?.first() {
            Some(card) => store.shop(&card.id).await?,
            None => store.found_shop("Load").await?,
        };
        let author = Author {
            who: "load".to_owned(),
            device: "load-device".to_owned(),
        };
        for n in numbers {
            let edit = opening(n, readings);
            shop.append(&id(n), &author, &edit).await?;
        }
        store.close().await;
        Ok(())
    })
}

fn opening(n: usize, readings: usize) -> Edit {
    let name = format!("car number {n}");
    let mut changes = vec![
        Change::put(
            "/glance",
            json!({ "name": name, "car": "an invented estate", "stage": "intake" }),
        ),
        Change::put("/class", "estate"),
    ];
    changes.extend((0..readings).map(|r| {
        let (spot, panel) = (r / 10, PANELS[r % 10]);
        let um = 105.0 + ((r * 7 + n * 3) % 19) as f64;
        let reading = json!({ "panel": panel, "um": um, "place": "field",
            "u_mm": 100.0 + 80.0 * spot as f64, "v_mm": 100.0 + 40.0 * ((r * 3) % 10) as f64 });
        Change::put(format!("/readings/load-{n}-{r:04}"), reading)
    }));
    Edit {
        id: format!("load-open-{n:06}"),
        kind: "job-opened".to_owned(),
        saw: 0,
        changes,
        said_ms: 0,
        undoes: None,
        settles: None,
    }
}
