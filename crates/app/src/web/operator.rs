//! `/operator`: whether the machine is well. For owners.
//!
//! Figures are of the whole server: with several shops in one database they
//! count all, and name none.
//! Left out: history of the figures; the log has it.
//! Checked by: `tests/web_operator.rs`.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Instant;

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use lapwing_store::TaskState;
use maud::{Markup, html};

use super::fields::Fields;
use super::house::{Bay, House};
use super::jobs::{edit_id, now_ms};
use super::page::{Page, edit_fields};
use super::refusal::Refusal;
use super::visitor::Visitor;
use super::words::{Message, operator as say};
use super::{days, errands};

const HOUR_MS: i64 = 3_600_000;
/// An older backup is called old.
const BACKUP_IS_OLD_H: i64 = 48;
/// Less room is called little, bytes.
const LITTLE_ROOM: u64 = 2_000_000_000;

/// One figure: its name, its value, what to do when it is not well.
struct Figure {
    name: Message,
    value: String,
    trouble: Option<Message>,
}

/// The page; `?task=` follows a copy that was asked for.
pub(crate) async fn show(
    State(house): State<Arc<House>>,
    bay: Bay,
    visitor: Visitor,
    fields: Fields,
) -> Markup {
    let figures = figures(&house, &visitor).await;
    let task = match fields.text("task") {
        Some(id) => bay.shop.task(id).await.ok(),
        None => None,
    };
    let is_running = task
        .as_ref()
        .is_some_and(|t| matches!(t.state, TaskState::Waiting | TaskState::Leased));
    let complaint = task.and_then(|t| t.complaint);
    let again = format!("/operator?task={}", fields.text("task").unwrap_or_default());
    let body = html! {
        div.column {
            table.plain.health { tbody { @for figure in &figures {
                tr { th scope="row" { (visitor.say(figure.name)) }
                    td { b { (figure.value) }
                        @if let Some(trouble) = figure.trouble { p.caution { (visitor.say(trouble)) } } } }
            } } }
            @if let Some(complaint) = complaint { p.fault role="alert" lang="en" { (complaint) } }
            @if is_running { p role="status" { (visitor.say(say::COPYING)) } a.button href=(again) { (visitor.say(say::LOOK_AGAIN)) } }
            @else { form method="post" action="/operator/backup" { (edit_fields(0)) button.main-deed { (visitor.say(say::COPY)) } } }
            p.note { (visitor.fill(say::COPY_WHERE, &[&house.backups.display().to_string()])) }
        }
    };
    let page = Page {
        title: visitor.say(say::TITLE),
        beside: "",
        path: "/operator",
        line: None,
        modules: &[],
        styles: &["tools.css", "accounts.css"],
    };
    page.around(&visitor, &body)
}

async fn figures(house: &House, visitor: &Visitor) -> Vec<Figure> {
    let well = |name, value| Figure {
        name,
        value,
        trouble: None,
    };
    let begin = Instant::now();
    let database = match house.store.ping().await {
        Ok(()) => {
            let ms = begin.elapsed().as_secs_f64() * 1e3;
            well(
                say::DATABASE,
                visitor.fill(say::ANSWERS, &[&visitor.number(ms, 1)]),
            )
        }
        Err(_) => Figure {
            name: say::DATABASE,
            value: visitor.say(say::SILENT).to_owned(),
            trouble: Some(say::SILENT_DO),
        },
    };
    let waiting = match house.store.queue_lengths().await {
        Ok(states) => {
            let count = |wanted| {
                let of_state = states.iter().filter(|(state, _)| *state == wanted);
                of_state.map(|(_, n)| *n).sum::<i64>()
            };
            let lengths = [TaskState::Waiting, TaskState::Leased, TaskState::GivenUp].map(count);
            let [waiting, leased, given_up] = lengths.map(|n| visitor.number(n as f64, 0));
            Figure {
                name: say::QUEUE,
                value: visitor.fill(say::QUEUE_IS, &[&waiting, &leased, &given_up]),
                trouble: (lengths[2] > 0).then_some(say::GIVEN_UP_DO),
            }
        }
        Err(_) => well(say::QUEUE, visitor.say(say::SILENT).to_owned()),
    };
    let tables = house.store.tables_version().await;
    vec![
        database,
        backup(house, visitor).await,
        room(house, visitor),
        waiting,
        well(say::PROGRAM, env!("CARGO_PKG_VERSION").to_owned()),
        well(say::TABLES, visitor.number(tables as f64, 0)),
    ]
}

async fn backup(house: &House, visitor: &Visitor) -> Figure {
    let folder = house.backups.clone();
    let latest = tokio::task::spawn_blocking(move || latest_backup(&folder)).await;
    let Some(made_ms) = latest.ok().flatten() else {
        return Figure {
            name: say::BACKUP,
            value: visitor.say(say::NEVER).to_owned(),
            trouble: Some(say::BACKUP_DO),
        };
    };
    let hours = (now_ms() - made_ms).max(0) / HOUR_MS;
    let parts = [
        days::date(visitor, made_ms),
        visitor.number(hours as f64, 0),
    ];
    Figure {
        name: say::BACKUP,
        value: visitor.fill(say::BACKUP_IS, &[&parts[0], &parts[1]]),
        trouble: (hours >= BACKUP_IS_OLD_H).then_some(say::BACKUP_DO),
    }
}

/// When the newest whole backup of a folder was made.
fn latest_backup(folder: &Path) -> Option<i64> {
    let made = |path: PathBuf| {
        let text = std::fs::read_to_string(path.join("manifest.json")).ok()?;
        let manifest: serde_json::Value = serde_json::from_str(&text).ok()?;
        manifest["made_ms"].as_i64()
    };
    let entries = std::fs::read_dir(folder).ok()?;
    entries.flatten().filter_map(|e| made(e.path())).max()
}

fn room(house: &House, visitor: &Visitor) -> Figure {
    let bytes = rustix::fs::statvfs(&house.data).map(|s| s.f_bavail.saturating_mul(s.f_frsize));
    let value = match &bytes {
        Ok(bytes) => format!("{} GB", visitor.number(*bytes as f64 / 1e9, 1)),
        Err(_) => "–".to_owned(),
    };
    Figure {
        name: say::ROOM,
        value,
        trouble: bytes.is_ok_and(|b| b < LITTLE_ROOM).then_some(say::ROOM_DO),
    }
}

/// Asks for a backup; whichever server has time makes it.
pub(crate) async fn make_backup(
    State(house): State<Arc<House>>,
    bay: Bay,
    fields: Fields,
) -> Result<Response, Refusal> {
    let id = edit_id(&fields);
    errands::ask_for_backup(&house, &bay.shop, &id).await?;
    Ok(Redirect::to(&format!("/operator?task={id}")).into_response())
}
