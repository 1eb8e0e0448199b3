//! Runs every house rule on the real house.
//!
//! Each test prints one sentence for each fault, with its place.

use lapwing_tidy::house::{self, Page};
use lapwing_tidy::{imports, literature, pages, purity, skipped, stations, words};

#[test]
fn rooms_import_only_what_the_table_allows() {
    let metadata = house::metadata().expect("cargo describes the workspace");
    judge(imports::faults_in_manifests(&metadata));
}

#[test]
fn the_map_draws_the_same_import_table() {
    judge(imports::faults_in_map(&page("ARCHITECTURE.md").text));
}

#[test]
fn stations_stand_in_the_trades_order() {
    judge(stations::faults_in_front_page(
        &page("crates/job/src/lib.rs").text,
    ));
}

#[test]
fn stations_know_only_the_record_and_earlier_stations() {
    judge(
        rust_pages()
            .iter()
            .flat_map(stations::faults_in_station)
            .collect(),
    );
}

#[test]
fn the_list_of_measure_is_closed() {
    judge(stations::faults_in_measure(
        &page("crates/measure/src/lib.rs").text,
    ));
}

#[test]
fn every_file_opens_with_a_header() {
    judge(
        rust_pages()
            .iter()
            .filter_map(pages::header_fault)
            .collect(),
    );
}

#[test]
fn no_file_is_too_long() {
    judge(all_pages().iter().filter_map(pages::length_fault).collect());
}

#[test]
fn no_name_would_fit_anything() {
    judge(rust_pages().iter().filter_map(pages::name_fault).collect());
}

#[test]
fn refused_words_do_not_appear() {
    judge(all_pages().iter().flat_map(words::faults_in).collect());
}

#[test]
fn pure_rooms_reach_for_nothing_outside() {
    judge(rust_pages().iter().flat_map(purity::faults_in).collect());
}

#[test]
fn every_publication_is_used() {
    judge(literature::faults_in(&all_pages()));
}

#[test]
fn no_test_is_switched_off() {
    judge(rust_pages().iter().flat_map(skipped::faults_in).collect());
}

fn judge(faults: Vec<String>) {
    assert!(
        faults.is_empty(),
        "\n{} fault(s) against the house rules:\n- {}\n",
        faults.len(),
        faults.join("\n- ")
    );
}

fn all_pages() -> Vec<Page> {
    let pages = house::pages().expect("the house can be read");
    assert!(pages.len() > 20, "only {} pages were found", pages.len());
    pages
}

fn rust_pages() -> Vec<Page> {
    let mut pages = all_pages();
    pages.retain(Page::is_rust);
    pages
}

fn page(path: &str) -> Page {
    all_pages()
        .into_iter()
        .find(|page| page.path == path)
        .unwrap_or_else(|| panic!("{path} is missing"))
}
