//! Every address of the program and who may use it: this is the list to add a
//! page to.
//!
//! Checked by: `tests/web_rules.rs`, which tries each line as each role.

use super::routes::May::{Anyone, Owner, Technician, Viewer};
use super::routes::Routes;
use super::{
    accounts, assets, bench, choice, exposure, film, handover, jobs, links, open_api, operator,
    plan, shell, shop, start, trust,
};

/// The whole table.
pub(crate) fn pages() -> Routes {
    people(handed(past(job(tools(house(Routes::new()))))))
}

/// The start, files of the program, signs of life.
fn house(table: Routes) -> Routes {
    table
        .get("/", Viewer, start::show)
        .get("/healthz", Anyone, start::health)
        .post("/choose", Anyone, choice::choose)
        .get("/assets/{*name}", Anyone, assets::show)
        .get("/sw.js", Anyone, shell::worker)
        .get("/manifest.webmanifest", Anyone, shell::manifest)
        .get("/offline", Anyone, shell::offline)
        .get("/api/openapi.json", Viewer, open_api::told)
}

/// Questions to the engine that need no job.
fn tools(table: Routes) -> Routes {
    table
        .get("/bench", Viewer, bench::show)
        .get("/bench/answer", Viewer, bench::answer)
        .post("/api/bench", Viewer, bench::by_api)
        .taking(open_api::BENCH)
        .get("/exposure", Viewer, exposure::show)
        .post("/api/exposure", Viewer, exposure::api)
        .taking(open_api::DAY)
        .get("/film", Viewer, film::show)
        .post("/film", Viewer, film::work_out)
        .post("/api/film", Viewer, film::by_api)
        .taking(open_api::FILM)
        .get("/plan", Viewer, plan::form)
        .post("/plan", Viewer, plan::work_out)
        .get("/plan/{name}", Viewer, plan::show)
        .get("/plan/{name}/{file}", Viewer, plan::file)
        .post("/api/plan", Viewer, plan::by_api)
        .taking(open_api::PLAN)
}

/// Jobs, and the record of one for its customer.
fn job(table: Routes) -> Routes {
    table
        .get("/jobs", Viewer, jobs::list::show)
        .post("/jobs", Technician, jobs::list::open)
        .taking(open_api::OPEN)
        .get("/enquiry", Viewer, jobs::enquiry::show)
        .post("/enquiry", Technician, jobs::enquiry::open)
        .get("/photos/{hash}", Viewer, jobs::photos::show)
        .post("/jobs/{job}/photos", Technician, jobs::photos::post)
        .get("/jobs/{job}/prove", Viewer, jobs::prove::show)
        .post("/jobs/{job}/prove", Technician, jobs::prove::take)
        .get("/jobs/{job}/coat", Viewer, jobs::coat::show)
        .post("/jobs/{job}/coat", Technician, jobs::coat::act)
        .post("/jobs/example", Technician, jobs::list::open_example)
        .get("/jobs/{job}", Viewer, jobs::intake::show)
        .post("/jobs/{job}/defects", Technician, jobs::intake::mark)
        .taking(open_api::MARK)
        .get("/jobs/{job}/wash", Viewer, jobs::wash::show)
        .post("/jobs/{job}/wash", Technician, jobs::wash::tick)
        .taking(open_api::WASH)
        .get("/jobs/{job}/readings", Viewer, jobs::readings::show)
        .post("/jobs/{job}/readings", Technician, jobs::readings::take)
        .taking(open_api::READING)
        .get("/jobs/{job}/readings/car", Viewer, jobs::readings::car)
        .get(
            "/jobs/{job}/readings/panel",
            Viewer,
            jobs::panel_places::show,
        )
        .post(
            "/jobs/{job}/readings/import",
            Technician,
            jobs::import::import,
        )
        .get("/jobs/{job}/film", Viewer, jobs::film_map::show)
        .get("/jobs/{job}/film/answer", Viewer, jobs::film_map::answer)
        .get("/jobs/{job}/film/{panel}", Viewer, jobs::film_map::panel)
        .get("/jobs/{job}/trial", Viewer, jobs::trial::show)
        .post("/jobs/{job}/trial", Technician, jobs::trial::act)
        .get("/jobs/{job}/trial/answer", Viewer, jobs::trial::answer)
        .get("/jobs/{job}/plan", Viewer, jobs::job_plan::show)
        .post("/jobs/{job}/plan", Technician, jobs::job_plan::adopt)
        .get("/jobs/{job}/plan/answer", Viewer, jobs::job_plan::answer)
        .get("/jobs/{job}/work", Viewer, jobs::work::show)
        .post("/jobs/{job}/work", Technician, jobs::work::act)
        .taking(open_api::WORK)
        .post("/jobs/{job}/undo", Technician, jobs::undo)
        .taking(open_api::UNDO)
        .post("/jobs/{job}/settle", Technician, jobs::settle)
        .taking(open_api::SETTLE)
        .get("/jobs/{job}/events", Viewer, jobs::live::follow)
        .get("/jobs/{job}/links", Technician, links::show)
        .post("/jobs/{job}/links", Technician, links::make)
        .post(
            "/jobs/{job}/links/{link}/withdraw",
            Technician,
            links::withdraw,
        )
        .get("/r/{token}", Anyone, links::open)
}

/// What is given of a job's panels, and all that was done.
fn past(table: Routes) -> Routes {
    table
        .get("/jobs/{job}/panels", Viewer, jobs::given::show)
        .post("/jobs/{job}/panels", Technician, jobs::given::keep)
        .get("/jobs/{job}/history", Viewer, jobs::history)
}

/// Jobs that leave the shop and come in: records, papers, zips.
fn handed(table: Routes) -> Routes {
    table
        .get("/jobs/{job}/handover", Viewer, handover::show)
        .post("/jobs/{job}/handover", Technician, handover::sign)
        .taking(open_api::HAND_OVER)
        .get("/jobs/{job}/handover/{file}", Viewer, handover::file)
        .get("/jobs/{job}/job.zip", Viewer, handover::travel::export)
        .post("/jobs/bring", Technician, handover::travel::bring)
        .taking(open_api::BRING)
}

/// People, phones and the machine.
fn people(table: Routes) -> Routes {
    table
        .get("/sign-in", Anyone, accounts::sign_in::show)
        .post("/sign-in", Anyone, accounts::sign_in::enter)
        .post("/sign-out", Anyone, accounts::sign_in::leave)
        .get("/first", Anyone, accounts::first::show)
        .post("/first", Anyone, accounts::first::make)
        .get("/account", Viewer, accounts::own::show)
        .post("/account/password", Viewer, accounts::own::change_password)
        .get("/api/session", Viewer, accounts::own::told)
        .taking(open_api::SESSION)
        .get("/shop", Viewer, shop::show)
        .post("/shop", Owner, shop::change)
        .get("/shop/history", Viewer, jobs::shop_history)
        .get("/people", Owner, accounts::people::show)
        .post("/people", Owner, accounts::people::add)
        .post("/people/{person}/role", Owner, accounts::people::set_role)
        .post(
            "/people/{person}/password",
            Owner,
            accounts::people::set_password,
        )
        .get("/pair", Viewer, accounts::pairing::show)
        .post("/pair", Viewer, accounts::pairing::make)
        .get("/pair/{code}", Anyone, accounts::pairing::ask)
        .post("/pair/{code}", Anyone, accounts::pairing::enter)
        .get("/trust", Anyone, trust::show)
        .get("/trust/authority.crt", Anyone, trust::certificate)
        .get("/operator", Owner, operator::show)
        .post("/operator/backup", Owner, operator::make_backup)
}
