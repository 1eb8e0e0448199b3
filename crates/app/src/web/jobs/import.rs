//! Tables from a gauge: brought in, asked about, listed and taken out.
//!
//! Law: none; a table that is in the job already is known by the SHA-256 of its
//! text, line ends apart, or by its readings.
//! Holds: names of panels are matched as the command line does. What a name
//! means that the job does not have is asked before anything is kept; the answer
//! is written into the kept table, a line left out becomes an empty one.
//! Left out: tables of UTF-16, which the store does not keep.
//! Checked by: the tests below and `tests/web_gauge.rs`.

use std::collections::BTreeMap;

use axum::extract::Path;
use axum::http::HeaderMap;
use axum::response::Response;
use lapwing_job::record::panel_names::{canonical, name_of, nearly};
use lapwing_job::record::read::read_job;
use lapwing_job::record::{Readings, readings};
use lapwing_store::{Change, sha256_hex};
use maud::{Markup, html};
use serde_json::{Value, json};

use super::super::fields::Fields;
use super::super::page::{Page, edit_fields};
use super::super::refusal::Refusal;
use super::super::the_line::Station;
use super::super::upload::Upload;
use super::super::visitor::Visitor;
use super::super::words::{checks as say, jobs, stations};
use super::super::{Bay, apart};
use super::intake::pointer;
use super::{Deed, Kept, already, edit_id, perform};
use crate::commands::job_film::read_tables;

/// Largest table that is imported, bytes; one event holds it.
const MOST_TABLE: usize = 900_000;

/// What a name means that the job does not have.
#[derive(Clone, Debug, PartialEq)]
enum Means {
    Panel(String),
    PanelMore,
    LeftOut,
}

/// A table that is being brought in.
struct Coming {
    file: String,
    text: String,
    read: Readings,
}

/// `POST /jobs/{job}/readings/import`: a table from a gauge, as one event.
pub(crate) async fn import(
    bay: Bay,
    visitor: Visitor,
    Path(job): Path<String>,
    headers: HeaderMap,
    upload: Upload,
) -> Result<Response, Refusal> {
    let fields = &upload.fields;
    let back = format!("/jobs/{job}/readings");
    for kind in ["table-imported", "table-removed"] {
        if let Some(again) = already(&bay, &headers, fields, (&job, kind, &back)).await {
            return Ok(again);
        }
    }
    let kept = Kept::load(&bay, &job).await?;
    if let Some(id) = fields.text("remove") {
        let changes = removal(&kept, id, &visitor)?;
        let deed = Deed {
            job: &job,
            kind: "table-removed",
            changes,
            back,
        };
        return perform(&bay, &headers, fields, deed).await;
    }
    let table = table_of(&upload, &visitor)?;
    let coming = match coming(&table).await {
        Ok(coming) => coming,
        Err(refusal) => {
            let page = faulty(&visitor, &kept, &table.1, &refusal.sentence);
            return Ok(refusal.at_the_form(page));
        }
    };
    match kept_as(&kept, coming, fields, &visitor) {
        Ok(changes) => {
            let deed = Deed {
                job: &job,
                kind: "table-imported",
                changes,
                back,
            };
            perform(&bay, &headers, fields, deed).await
        }
        Err((refusal, page)) => Ok(refusal.at_the_form(page)),
    }
}

/// The file or the pasted text, with its name.
fn table_of(upload: &Upload, visitor: &Visitor) -> Result<(String, String), Refusal> {
    let pasted = upload.fields.text("pasted").map(str::to_owned);
    let named = upload.fields.text("named").map(super::super::fields::short);
    let (file, bytes) = match (upload.file("file"), pasted) {
        (Some(file), _) => (file.name.clone(), file.bytes.clone()),
        (None, Some(text)) => {
            let name = visitor.say(super::super::words::film::PASTED);
            (named.unwrap_or_else(|| name.to_owned()), text.into_bytes())
        }
        (None, None) => return Err(Refusal::input(visitor.say(stations::NO_TABLE))),
    };
    if bytes.len() > MOST_TABLE {
        return Err(Refusal::input(visitor.say(stations::TABLE_TOO_LARGE)));
    }
    let text = String::from_utf8(bytes)
        .map_err(|_| Refusal::input(visitor.say(stations::TABLE_NOT_TEXT)))?;
    Ok((file, text))
}

async fn coming((file, text): &(String, String)) -> Result<Coming, Refusal> {
    let tables = vec![(file.clone(), text.clone().into_bytes())];
    let read = apart(move || read_tables(&tables)).await?;
    Ok(Coming {
        file: file.clone(),
        text: text.clone(),
        read,
    })
}

/// The changes that keep a table, or why not, on a page that asks.
fn kept_as(
    kept: &Kept,
    coming: Coming,
    fields: &Fields,
    visitor: &Visitor,
) -> Result<Vec<Change>, (Refusal, Markup)> {
    let refused = |sentence: String| {
        let page = faulty(visitor, kept, "", &sentence);
        (Refusal::input(sentence), page)
    };
    let mark = mark_of(&coming.text);
    if let Some(file) = same_text(kept, &mark, fields) {
        return Err(refused(visitor.fill(say::SAME_TABLE, &[&file])));
    }
    let meant = meant(kept, &coming, fields);
    let open: Vec<&String> = meant
        .iter()
        .filter(|(_, means)| means.is_none())
        .map(|(name, _)| name)
        .collect();
    if let Some(first) = open.first() {
        let is_first = fields.all("means").next().is_none();
        let sentence = if is_first {
            visitor.say(say::ASK_UNKNOWN).to_owned()
        } else {
            visitor.fill(say::NOT_SAID, &[first])
        };
        let page = asking(visitor, kept, &coming, &sentence);
        return Err((Refusal::input(sentence), page));
    }
    let meant: BTreeMap<String, Means> = meant
        .into_iter()
        .filter_map(|(name, means)| Some((name, means?)))
        .collect();
    let text = rewritten(&coming, &meant);
    let Ok(read) = readings::read(&coming.file, text.as_bytes(), None) else {
        return Err(refused(visitor.say(say::NOTHING_LEFT).to_owned()));
    };
    if fields.text("again").is_none()
        && let Some(file) = same_values(kept, &read, fields)
    {
        let sentence = visitor.fill(say::SAME_VALUES, &[&file]);
        let page = same(visitor, kept, &coming, (&sentence, fields));
        return Err((Refusal::input(sentence), page));
    }
    let count = read.readings.len() + read.layers.len() + read.zero_um.len();
    let entry = json!({ "file": coming.file, "text": text, "count": count, "sha256": mark });
    let place = format!("/tables/{}", pointer(&edit_id(fields)));
    let mut changes = vec![Change::put(place, entry)];
    changes.extend(with_panels(kept, &coming.read, &meant));
    Ok(changes)
}

/// Our names of the job's panels.
fn known(kept: &Kept) -> Vec<String> {
    let job = read_job("job.toml", kept.text("/folder/job.toml"));
    match job {
        Ok((job, _)) if !job.panels.is_empty() => job.panels.into_iter().map(|p| p.name).collect(),
        _ => kept.panels(),
    }
}

/// Panels that the job does not have, with how many readings each.
fn unknown(kept: &Kept, read: &Readings) -> BTreeMap<String, usize> {
    let known = known(kept);
    let mut found = BTreeMap::new();
    let names = read.readings.iter().map(|r| &r.panel);
    for name in names.chain(read.layers.iter().map(|l| &l.panel)) {
        if !known.contains(name) {
            *found.entry(name.clone()).or_insert(0) += 1;
        }
    }
    found
}

fn meant(kept: &Kept, coming: &Coming, fields: &Fields) -> Vec<(String, Option<Means>)> {
    let known = known(kept);
    let said: BTreeMap<&str, &str> = fields.all("unknown").zip(fields.all("means")).collect();
    let of = |name: &String| match *said.get(name.as_str())? {
        "more" => Some(Means::PanelMore),
        "out" => Some(Means::LeftOut),
        other => {
            let panel = other.strip_prefix("panel:")?;
            known
                .iter()
                .any(|k| k == panel)
                .then(|| Means::Panel(panel.to_owned()))
        }
    };
    let names = unknown(kept, &coming.read).into_keys();
    names.map(|name| (name.clone(), of(&name))).collect()
}

/// The panel that a name probably means.
fn guess(known: &[String], name: &str) -> Option<String> {
    let meant = canonical(&nearly(name)?)?;
    known.contains(&meant).then_some(meant)
}

/// The table with what its names mean: a name put right where it stands, a line
/// left out as an empty one, so that lines keep their numbers.
fn rewritten(coming: &Coming, meant: &BTreeMap<String, Means>) -> String {
    let readings = coming.read.readings.iter().map(|r| (r.line, &r.panel));
    let layers = coming.read.layers.iter().map(|l| (l.line, &l.panel));
    let by_line: BTreeMap<usize, &String> = readings.chain(layers).collect();
    let mut out = String::new();
    for (at, line) in coming.text.split_inclusive('\n').enumerate() {
        let panel = by_line.get(&(at + 1));
        match panel.and_then(|name| Some((*name, meant.get(*name)?))) {
            Some((_, Means::LeftOut)) => {
                out.push_str(if line.ends_with('\n') { "\n" } else { "" });
            }
            Some((name, Means::Panel(ours))) => out.push_str(&renamed(line, name, ours)),
            _ => out.push_str(line),
        }
    }
    out
}

/// A line with the cell that names `panel` written as `ours`.
fn renamed(line: &str, panel: &str, ours: &str) -> String {
    let mut from = 0;
    for cell in line.split([',', ';', '\t']) {
        let bare = cell.trim().trim_matches('"');
        if name_of(bare) == panel && !bare.is_empty() {
            let start = from + cell.find(bare).unwrap_or(0);
            return format!("{}{ours}{}", &line[..start], &line[start + bare.len()..]);
        }
        from += cell.len() + 1;
    }
    line.to_owned()
}

/// The job's text with the panels that came on top.
fn with_panels(kept: &Kept, read: &Readings, meant: &BTreeMap<String, Means>) -> Option<Change> {
    let more: Vec<&String> = meant
        .iter()
        .filter(|(_, means)| **means == Means::PanelMore)
        .map(|(name, _)| name)
        .collect();
    let job = kept.text("/folder/job.toml");
    if more.is_empty() || job.trim().is_empty() {
        return None;
    }
    let mut text = job.trim_end().to_owned();
    for name in more {
        // A JSON string without control signs is a TOML string.
        let written: String = read
            .written(name)
            .chars()
            .filter(|c| !c.is_control())
            .collect();
        let written = Value::String(written);
        text.push_str(&format!("\n\n[[panel]]\nname = {written}\n"));
    }
    Some(Change::put("/folder/job.toml", text))
}

fn mark_of(text: &str) -> String {
    sha256_hex(text.replace("\r\n", "\n").trim().as_bytes())
}

/// Every table of readings before: its id, name and text.
fn tables(kept: &Kept) -> Vec<(Option<&String>, String, &str)> {
    let mut all = Vec::new();
    let folder = kept.text("/folder/readings.csv");
    if !folder.trim().is_empty() {
        all.push((None, "readings.csv".to_owned(), folder));
    }
    for (id, table) in kept.entries("/tables") {
        let text = |key: &str| table[key].as_str().unwrap_or_default();
        all.push((Some(id), text("file").to_owned(), text("text")));
    }
    all
}

/// The tables but the one of this very form, which a double tap has kept.
fn others<'k>(kept: &'k Kept, fields: &Fields) -> Vec<(Option<&'k String>, String, &'k str)> {
    let own = fields.text("edit");
    let mut all = tables(kept);
    all.retain(|(id, _, _)| id.is_none() || id.map(String::as_str) != own);
    all
}

fn same_text(kept: &Kept, mark: &str, fields: &Fields) -> Option<String> {
    let is_same = |id: Option<&String>, text: &str| {
        let noted = id.and_then(|id| kept.document["tables"][id.as_str()]["sha256"].as_str());
        noted == Some(mark) || mark_of(text) == mark
    };
    let found = others(kept, fields);
    let found = found.into_iter().find(|(id, _, text)| is_same(*id, text));
    found.map(|(_, file, _)| file)
}

fn same_values(kept: &Kept, read: &Readings, fields: &Fields) -> Option<String> {
    let wanted = values(read);
    let found = others(kept, fields).into_iter().find(|(_, file, text)| {
        readings::read(file, text.as_bytes(), None).is_ok_and(|there| values(&there) == wanted)
    });
    found.map(|(_, file, _)| file)
}

/// A table's readings in an order of their own, to a hundredth of a micrometre.
fn values(read: &Readings) -> Vec<String> {
    let readings = read.readings.iter().map(|r| {
        format!(
            "{} {:.2} {:?} {:?} {:?} {:?}",
            r.panel, r.film_um, r.u_mm, r.v_mm, r.spot, r.place
        )
    });
    let layers = read
        .layers
        .iter()
        .map(|l| format!("{} {:?} {:.2} {:?}", l.panel, l.layer, l.film_um, l.place));
    let mut all: Vec<String> = readings.chain(layers).collect();
    all.sort();
    all
}

/// Takes a table out, and the readings after at its places.
fn removal(kept: &Kept, id: &str, visitor: &Visitor) -> Result<Vec<Change>, Refusal> {
    let place = format!("/tables/{}", pointer(id));
    if kept.document.pointer(&place).is_none() {
        return Err(Refusal::missing(visitor.say(say::NO_TABLE)));
    }
    let mut changes = vec![Change::remove(place)];
    for (key, _) in kept.entries("/after") {
        let line = key.strip_prefix(id).and_then(|rest| rest.strip_prefix('-'));
        if line.is_some_and(|line| line.bytes().all(|b| b.is_ascii_digit())) {
            changes.push(Change::remove(format!("/after/{}", pointer(key))));
        }
    }
    Ok(changes)
}

/// The tables of a job, each with what is doubtful, and the form for another.
pub(super) fn section(visitor: &Visitor, kept: &Kept) -> Markup {
    html! {
        section #tables data-live aria-label=(visitor.say(say::TABLES)) { (listed(visitor, kept)) }
        details.no-print {
            summary { (visitor.say(stations::IMPORT)) }
            (form(visitor, kept, ""))
        }
    }
}

fn listed(visitor: &Visitor, kept: &Kept) -> Markup {
    let all = tables(kept);
    html! {
        @if !all.is_empty() { h2 { (visitor.say(say::TABLES)) } }
        ul.marks { @for (id, file, text) in &all {
            @let read = readings::read(file, text.as_bytes(), None).ok();
            @let count = read.as_ref().map_or(0, |r| r.readings.len() + r.layers.len() + r.zero_um.len());
            li { span { b { (file) } " " (visitor.fill(jobs::READINGS.of(count), &[&visitor.number(count as f64, 0)]))
                    @if id.is_none() { ", " (visitor.say(say::OF_FOLDER)) }
                    @if let Some(read) = &read { @for (name, count) in unknown(kept, read) {
                        br; b.doubt { (visitor.fill(say::UNKNOWN, &[&name, &count.to_string()])) } } } }
                @if let Some(id) = id { (remove_form(visitor, kept, id)) } }
        } }
    }
}

fn remove_form(visitor: &Visitor, kept: &Kept, id: &str) -> Markup {
    html! {
        form method="post" action=(format!("/jobs/{}/readings/import", kept.id)) {
            (edit_fields(kept.version))
            button.quiet.small name="remove" value=(id) { (visitor.say(say::REMOVE_TABLE)) }
        }
    }
}

fn form(visitor: &Visitor, kept: &Kept, pasted: &str) -> Markup {
    html! {
        form.readings method="post" action=(format!("/jobs/{}/readings/import", kept.id)) enctype="multipart/form-data" {
            (edit_fields(kept.version))
            label { span { (visitor.say(stations::TABLE_FILE)) } input type="file" name="file" accept=".csv,.txt,.tsv,text/csv,text/plain"; }
            label { span { (visitor.say(stations::TABLE_PASTED)) } textarea name="pasted" rows="5" spellcheck="false" placeholder="panel,thickness_um\nbonnet,112" { (pasted) } }
            p.note { (visitor.say(super::super::words::film::COLUMNS)) }
            button { (visitor.say(stations::IMPORT_DEED)) }
        }
    }
}

/// A page of its own around a question or a fault about a table.
fn framed(visitor: &Visitor, kept: &Kept, body: &Markup) -> Markup {
    let path = format!("/jobs/{}/readings", kept.id);
    let page = Page {
        title: kept.text("/glance/name"),
        beside: visitor.say(jobs::READINGS_BESIDE),
        path: &path,
        line: Some(kept.line(visitor, Station::Inspect)),
        modules: &[],
        styles: &["tools.css", "jobs.css", "stations.css"],
    };
    let whole = html! { div.column { (body) p { a href=(path) { (visitor.say(say::BACK)) } } } };
    page.around(visitor, &whole)
}

/// The form again, with what was pasted and what is wrong.
fn faulty(visitor: &Visitor, kept: &Kept, pasted: &str, sentence: &str) -> Markup {
    let body = html! { p.fault role="alert" { (visitor.text_told(sentence)) } (form(visitor, kept, pasted)) };
    framed(visitor, kept, &body)
}

/// What every name means that the job does not have.
fn asking(visitor: &Visitor, kept: &Kept, coming: &Coming, sentence: &str) -> Markup {
    let known = known(kept);
    let body = html! {
        p.fault role="alert" { (sentence) }
        form.readings method="post" action=(format!("/jobs/{}/readings/import", kept.id)) {
            (carried(kept, coming))
            @for (name, count) in unknown(kept, &coming.read) {
                @let written = coming.read.written(&name);
                @let probably = guess(&known, &name);
                p { (visitor.fill(say::UNKNOWN, &[written, &count.to_string()])) }
                input type="hidden" name="unknown" value=(name);
                label { span { (visitor.fill(say::MEANS, &[written])) }
                    select name="means" required {
                        @if probably.is_none() { option value="" { (visitor.say(say::CHOOSE)) } }
                        @if let Some(panel) = &probably {
                            option value=(format!("panel:{panel}")) selected { (visitor.fill(say::PROBABLY, &[&visitor.panel(panel)])) } }
                        @for panel in known.iter().filter(|p| probably.as_ref() != Some(*p)) {
                            option value=(format!("panel:{panel}")) { (visitor.panel(panel)) } }
                        option value="more" { (visitor.fill(say::A_PANEL_MORE, &[written])) }
                        option value="out" { (visitor.say(say::LEAVE_OUT)) }
                    } }
            }
            button.main-deed { (visitor.say(stations::IMPORT_DEED)) }
        }
    };
    framed(visitor, kept, &body)
}

/// The same readings from another file: once more on purpose?
fn same(
    visitor: &Visitor,
    kept: &Kept,
    coming: &Coming,
    (sentence, fields): (&str, &Fields),
) -> Markup {
    let body = html! {
        p.fault role="alert" { (sentence) }
        form.readings method="post" action=(format!("/jobs/{}/readings/import", kept.id)) {
            (carried(kept, coming))
            @for (name, means) in fields.all("unknown").zip(fields.all("means")) {
                input type="hidden" name="unknown" value=(name);
                input type="hidden" name="means" value=(means);
            }
            input type="hidden" name="again" value="yes";
            button.quiet { (visitor.say(say::ALL_THE_SAME)) }
        }
    };
    framed(visitor, kept, &body)
}

/// The table itself, carried along while something is asked.
fn carried(kept: &Kept, coming: &Coming) -> Markup {
    html! {
        (edit_fields(kept.version))
        input type="hidden" name="named" value=(coming.file);
        textarea name="pasted" hidden { (coming.text) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn coming(text: &str) -> Coming {
        Coming {
            file: "g.csv".to_owned(),
            text: text.to_owned(),
            read: readings::read("g.csv", text.as_bytes(), None).expect("readings"),
        }
    }

    #[test]
    fn a_name_is_put_right_where_it_stands_and_lines_keep_their_numbers() {
        let table = coming("thickness_um;panel\n112;Bonet\n113;roof\n114;\"bonet\"\n90;wheel\n");
        let meant = BTreeMap::from([
            ("bonet".to_owned(), Means::Panel("bonnet".to_owned())),
            ("wheel".to_owned(), Means::LeftOut),
        ]);
        let text = rewritten(&table, &meant);
        assert_eq!(
            text,
            "thickness_um;panel\n112;bonnet\n113;roof\n114;\"bonnet\"\n\n"
        );
        let read = readings::read("g.csv", text.as_bytes(), None).expect("readings");
        let lines: Vec<(usize, &str)> = read
            .readings
            .iter()
            .map(|r| (r.line, r.panel.as_str()))
            .collect();
        assert_eq!(lines, [(2, "bonnet"), (3, "roof"), (4, "bonnet")]);
    }

    #[test]
    fn the_same_table_has_the_same_mark_whatever_its_line_ends() {
        assert_eq!(mark_of("a,b\r\n1,2\r\n"), mark_of("a,b\n1,2"));
        assert_ne!(mark_of("a,b\n1,2"), mark_of("a,b\n1,3"));
    }

    #[test]
    fn a_slip_of_the_pen_is_guessed_where_the_job_has_the_panel() {
        let known = ["bonnet".to_owned(), "roof".to_owned()];
        assert_eq!(guess(&known, "bonet").as_deref(), Some("bonnet"));
        assert_eq!(guess(&known[1..], "bonet"), None);
        assert_eq!(guess(&known, "gearbox"), None);
    }
}
