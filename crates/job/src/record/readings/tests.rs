//! Tests of the readings reader: every kind of file, every kind of fault.

use super::*;

fn good(text: &str) -> Readings {
    read("readings.csv", text.as_bytes(), None).expect("the table is sound")
}

fn refused(bytes: &[u8]) -> String {
    read("readings.csv", bytes, None)
        .expect_err("the table is faulty")
        .to_string()
}

fn films(readings: &Readings) -> Vec<f64> {
    readings.readings.iter().map(|r| r.film_um).collect()
}

#[track_caller]
fn refuses(text: &str, parts: &[&str]) {
    let sentence = refused(text.as_bytes());
    for part in parts {
        assert!(sentence.contains(part), "{part:?} is not in: {sentence}");
    }
}

#[test]
fn reads_every_column_of_a_plain_table() {
    let read = good(
        "panel,thickness_um,u_mm,v_mm,spot,repeat,place\nbonnet,112.5,100,200,a,1,\nHood,98,,,,,edge\n",
    );
    let first = Reading {
        panel: "bonnet".to_owned(),
        film_um: 112.5,
        u_mm: Some(100.0),
        v_mm: Some(200.0),
        spot: Some("a".to_owned()),
        repeat: Some(1),
        place: Place::Field,
        operator: None,
        line: 2,
    };
    assert_eq!(read.readings[0], first);
    let second = &read.readings[1];
    assert_eq!(
        (second.panel.as_str(), second.place, second.u_mm),
        ("bonnet", Place::Edge, None)
    );
    assert_eq!(read.cautions, []);
}

#[test]
fn semicolon_and_tab_allow_a_decimal_comma() {
    assert_eq!(films(&good("panel;thickness_um\nroof;112,5\n")), [112.5]);
    assert_eq!(films(&good("panel\tthickness_mm\nroof\t0,125\n")), [125.0]);
    assert_eq!(
        films(&good("sep=;\npanel;thickness_um\nroof;112.5\n")),
        [112.5]
    );
}

#[test]
fn a_mil_is_25_4_micrometres_whether_in_the_header_a_column_or_the_cell() {
    for text in [
        "panel,thickness_mil\nroof,5\n",
        "Panel,film [mil]\nroof,5\n",
        "panel,thickness,unit\nroof,5,mil\n",
        "panel,thickness\nroof,5 mil\n",
    ] {
        assert_eq!(films(&good(text)), [127.0], "{text}");
    }
    assert_eq!(films(&good("panel,Thickness (µm)\nroof,127\n")), [127.0]);
    assert_eq!(films(&good("panel,thickness,unit\nroof,127,μm\n")), [127.0]);
}

#[test]
fn inches_become_millimetres() {
    let read = good("panel,thickness_um,u_in,v_in\nroof,110,10,2\n");
    assert_eq!(read.readings[0].u_mm, Some(254.0));
    assert_eq!(read.readings[0].v_mm, Some(50.8));
}

#[test]
fn a_negative_place_and_a_repeat_that_stands_twice_are_refused() {
    refuses(
        "panel,thickness_um,u_mm,v_mm\nroof,110,100,20\nroof,110,-40,20\n",
        &["line 3", "\"-40\" is negative", "lower left corner"],
    );
    refuses(
        "panel,spot,repeat,thickness_um\nroof,a,1,110\nroof,a,2,111\nroof,a,2,112\n",
        &[
            "line 4",
            "repeat 2 of spot \"a\" on roof stands in line 3 already",
        ],
    );
    // Another panel, another spot and a reading without a number are fine.
    good(
        "panel,spot,repeat,thickness_um\nroof,a,1,110\nbonnet,a,1,111\nroof,b,1,1e2\nroof,b,,99\n",
    );
}

#[test]
fn slips_of_the_pen_in_columns_and_panels_are_said() {
    let read = good("panel,thickness_um,plcae,date\nbonet,110,edge,today\nroof,111,,\n");
    let said: Vec<String> = read.cautions.iter().map(|c| c.text.clone()).collect();
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said[0].contains("\"plcae\"") && said[0].contains("Did you mean place?"));
    assert!(said[1].contains("\"bonet\"") && said[1].contains("Did you mean bonnet?"));
}

#[test]
fn byte_order_marks_and_utf_16_are_understood() {
    let text = "panel;Thickness (µm)\r\nroof;112,5\r\n";
    let plain = good(text);
    let marked = [&[0xEF, 0xBB, 0xBF], text.as_bytes()].concat();
    let little: Vec<u8> = [0xFF, 0xFE]
        .into_iter()
        .chain(text.encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    let big: Vec<u8> = [0xFE, 0xFF]
        .into_iter()
        .chain(text.encode_utf16().flat_map(u16::to_be_bytes))
        .collect();
    for bytes in [marked, little, big] {
        assert_eq!(read("readings.csv", &bytes, None).expect("sound"), plain);
    }
}

#[test]
fn lines_are_counted_as_an_editor_counts_them() {
    for end in ["\n", "\r\n", "\r"] {
        let text = "\npanel,thickness_um\n\n\nroof,110\n,\n\nroof,abc\n".replace('\n', end);
        let sentence = refused(text.as_bytes());
        assert!(
            sentence.starts_with("readings.csv, line 8: \"abc\""),
            "{sentence}"
        );
    }
    assert_eq!(
        good("panel,thickness_um\n\n\nroof,110\n\nroof,111").readings[1].line,
        6
    );
}

#[test]
fn unknown_panels_are_kept_in_dashes_when_the_job_names_none() {
    let read = good("panel,thickness_um\nFront Door,110\nRoll-bar  cover,120\n");
    let names: Vec<&str> = read.readings.iter().map(|r| r.panel.as_str()).collect();
    assert_eq!(names, ["front-door", "roll-bar-cover"]);
}

#[test]
fn a_panel_the_job_does_not_have_is_refused_with_the_nearest_name() {
    let known = ["bonnet".to_owned(), "front-wing-left".to_owned()];
    let table = |name: &str| format!("panel,thickness_um\n{name},110\n");
    let read_known = |name: &str| read("r.csv", table(name).as_bytes(), Some(&known));
    assert!(read_known("LF fender").is_ok());
    let sentence = read_known("bonet").expect_err("misspelt").to_string();
    assert!(sentence.contains("line 2: the job has no panel \"bonet\". Did you mean bonnet?"));
    let none = read("r.csv", table("roof").as_bytes(), Some(&[])).expect_err("no panels");
    assert!(none.to_string().contains("nor any other"));
}

#[test]
fn zero_checks_leave_the_readings_and_are_cautioned_about_beyond_2_um() {
    let read = good("panel,thickness_um,place\n,0.4,zero\n,-3.1,zero\nroof,110,\n");
    assert_eq!(read.zero_um, [0.4, -3.1]);
    assert_eq!(films(&read), [110.0]);
    assert_eq!(read.cautions.len(), 1);
    assert!(read.cautions[0].text.contains("-3.1 µm on the bare plate"));
}

#[test]
fn a_file_without_readings_is_refused() {
    refuses("", &["the file is empty"]);
    refuses(" \r\n\n", &["the file is empty"]);
    refuses("panel,thickness_um\n", &["no reading on a panel"]);
    refuses(
        "panel,thickness_um,place\n,0,zero\n",
        &["no reading on a panel"],
    );
    refuses(",,,\n;;;\n", &["no column panel"]);
}

#[test]
fn bytes_that_are_not_text_are_refused_with_their_place() {
    let sentence = refused(b"panel,thickness_um\nroof,110 \xB5m\n");
    assert!(
        sentence.contains("line 2: byte 28 of the file (value 0xB5)"),
        "{sentence}"
    );
    assert!(refused(b"\xEF\xBB\xBFa\xFF").contains("byte 4 of the file"));
    assert!(refused(b"\xFF\xFEp\0a").contains("byte 4 of the file is not UTF-16"));
    assert!(refused(b"\xFF\xFE\0\xD8a\0").contains("byte 2 of the file is not UTF-16"));
    assert!(refused(b"p\0a\0n\0").contains("a zero byte"));
}

#[test]
fn a_file_over_64_mb_is_refused_with_its_size() {
    let sentence = refused(&vec![b' '; 64_000_001]);
    assert!(sentence.contains("the file is 64.0 MB"), "{sentence}");
    let mut largest = vec![b'\n'; 64_000_000];
    (largest[0], largest[63_999_999]) = (b'x', b'x');
    assert!(refused(&largest).contains("no column panel"));
}

#[test]
fn a_missing_column_names_the_columns_found() {
    refuses(
        "panel|thickness_um\nroof|110\n",
        &["no column panel", "\"panel|thickness_um\""],
    );
    refuses(
        "panel,notes\nroof,x\n",
        &["no column thickness_um", "\"panel\", \"notes\""],
    );
    refuses(
        "thickness_um;spot\n110;a\n",
        &["no column panel", "separated by semicolon"],
    );
    refuses(
        "bonnet,112\nbonnet,113\n",
        &["no column panel", "\"bonnet\", \"112\""],
    );
    refuses(
        "panel,thickness_um,film_mil\nroof,110,4\n",
        &["both \"thickness_um\" and \"film_mil\""],
    );
    refuses("panel,thickness_um,u_mm\nroof,110,4\n", &["no v column"]);
    refuses(
        "panel,thickness_um,u,v\nroof,110,4,5\n",
        &["no unit we know"],
    );
}

#[test]
fn what_is_not_a_film_is_refused_with_its_line() {
    let um = |cell: &str| format!("panel,thickness_um\nroof,110\nroof,{cell}\n");
    let line = "readings.csv, line 3: ";
    for cell in [
        "NaN", "inf", "-inf", "thick", "edge", "1e", "--1", "1.2.3", "e", "110 km",
    ] {
        refuses(&um(cell), &[line, "is not a number"]);
    }
    refuses(&um("-4"), &[line, "-4 µm is negative"]);
    refuses(&um("−4"), &[line, "-4 µm is negative"]);
    refuses(&um("1e400"), &[line, "\"1e400\" is too large"]);
    refuses(
        &um("1e300"),
        &[line, "1e300 µm is outside the 20 to 3000 µm"],
    );
    refuses(&um("0"), &[line, "0 µm is outside", "zero check"]);
    refuses(&um(""), &[line, "the film thickness is missing"]);
    refuses(
        &um("112,4"),
        &[
            line,
            "the line has 3 cells and the header 2",
            "decimal comma",
        ],
    );
    refuses(&um("\"112,4\""), &[line, "has a comma in it"]);
    refuses(&um("4.4 mil"), &[line, "contradicts"]);
    refuses(
        "panel,thickness\nroof,110\n",
        &["line 1: the column \"thickness\" names no unit. Allowed are thickness_um"],
    );
    refuses(
        "panel,thickness,unit\nroof,110,\n",
        &["line 2: ", "\"110\" has no unit"],
    );
    refuses(
        "panel,thickness_um\nroof,110\n ,110\n",
        &[line, "the panel is missing"],
    );
    refuses(
        "panel,thickness_um\nroof,\"110\nroof,110\n",
        &["line 2: a quotation mark"],
    );
}

#[test]
fn a_slipped_unit_is_named() {
    let um = |cell: &str| format!("panel,thickness_um\nroof,{cell}\n");
    refuses(
        &um("0.12"),
        &["0.12 µm is outside", "looks like millimetres (120 µm)"],
    );
    refuses(
        &um("4.2"),
        &["4.2 µm is outside", "looks like mil (106.68 µm)"],
    );
    refuses(&um("3000.1"), &["3000.1 µm is outside the 20 to 3000 µm"]);
    refuses(
        "panel,thickness_mm\nroof,112\n",
        &["112 mm is outside", "micrometres (112 µm)"],
    );
    refuses(
        "panel,thickness_mil\nroof,150\n",
        &["150 mil is outside", "micrometres (150 µm)"],
    );
    refuses(
        "panel,thickness_mil\nroof,0.12\n",
        &["0.12 mil is outside", "millimetres (120 µm)"],
    );
}

#[test]
fn the_ends_of_the_range_are_read_and_1200_um_draws_a_caution() {
    let read = good("panel,thickness_um\nroof,20\nroof,3000\nroof,999\nroof,1200\n");
    assert_eq!(films(&read), [20.0, 3000.0, 999.0, 1200.0]);
    let places: Vec<&str> = read.cautions.iter().map(|c| c.place.as_str()).collect();
    assert_eq!(places, ["line 3", "line 5"]);
    assert_eq!(
        read.cautions[1].text,
        "1200 µm on roof: filler or a unit slip; taken as it is."
    );
    let many = good(&format!("panel,thickness_um\n{}", "roof,1200\n".repeat(50)));
    assert_eq!(many.cautions.len(), SPELLED_OUT + 1);
    assert!(
        many.cautions[SPELLED_OUT]
            .text
            .starts_with("30 more readings")
    );
}

#[test]
fn words_in_the_other_columns_are_checked_too() {
    let table = |row: &str| format!("panel,thickness_um,u_mm,v_mm,repeat,place\n{row}\n");
    refuses(&table("roof,110,1,,,"), &["only one of u and v"]);
    refuses(&table("roof,110,1,x,,"), &["\"x\" is not a number"]);
    refuses(&table("roof,110,1,1e9,,"), &["not a position on a panel"]);
    refuses(&table("roof,110,,,0,"), &["the repeat \"0\""]);
    refuses(
        &table("roof,110,,,,corner"),
        &["the place \"corner\" is not known"],
    );
    refuses(&table("roof,1e9,,,,zero"), &["is no zero check"]);
}

#[test]
fn fifty_thousand_readings_are_all_read() {
    let mut text = String::from("panel,thickness_um,u_mm,v_mm,spot,repeat,place\n");
    for i in 0..50_000 {
        text.push_str(&format!(
            "front-wing-left,{}.5,{},{},s{},1,\n",
            90 + i % 40,
            i % 900,
            i % 700,
            i
        ));
    }
    let read = good(&text);
    assert_eq!(read.readings.len(), 50_000);
    assert_eq!(read.readings[49_999].line, 50_001);
}

#[test]
fn any_bytes_give_a_table_or_a_sentence() {
    // A fixed run of a linear congruential generator (multiplier of Knuth's MMIX).
    let mut state = 1_u64;
    let letters = b"panel,;\t\n\r\"thicknes_um 0123456789.-e\xC2\xB5\xFF\xFE\0";
    for _ in 0..5000 {
        let mut bytes = b"panel,thickness_um\n".to_vec();
        let kept = usize::try_from(state % 20).expect("under 20");
        bytes.truncate(kept);
        for _ in 0..40 {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let at = usize::try_from(state >> 40).expect("24 bits") % letters.len();
            bytes.push(letters[at]);
        }
        match read("r.csv", &bytes, None) {
            Ok(read) => assert!(read.readings.iter().all(|r| r.film_um.is_finite())),
            Err(fault) => assert!(fault.to_string().starts_with("r.csv"), "{fault}"),
        }
    }
}

#[test]
fn layers_stand_apart_from_totals_and_hands_are_kept() {
    let read = good(
        "panel,thickness_um,layer,operator\nbumper,70,total,Ada\nbumper,31,clear,Ada\nbumper,17,base,\nroof,110,,BO\n",
    );
    assert_eq!(films(&read), [70.0, 110.0]);
    let layers: Vec<_> = read.layers.iter().map(|l| (l.layer, l.film_um)).collect();
    assert_eq!(layers, [(LayerName::Top, 31.0), (LayerName::Base, 17.0)]);
    assert_eq!(read.readings[1].operator.as_deref(), Some("bo"));
    let refused = |cell: &str| format!("panel,thickness_um,layer\nroof,{cell}\n");
    refuses(
        &refused("30,lacquer"),
        &["line 2", "the layer \"lacquer\" is not known"],
    );
    refuses(
        &refused("600,clear"),
        &["line 2", "5 to 500 µm a single layer can have"],
    );
    let only_layers = "panel,thickness_um,layer\nbumper,31,clear\n";
    assert_eq!(good(only_layers).layers.len(), 1);
}

#[test]
fn zero_checks_keep_their_lines() {
    let read = good("panel,thickness_um,place\n,0.5,zero\nroof,110,\n,1.5,zero\n");
    assert_eq!(
        (read.zero_um, read.zero_lines),
        (vec![0.5, 1.5], vec![2, 4])
    );
}

#[test]
fn two_tables_of_a_car_in_two_units_become_one() {
    let mut first = read("a.csv", b"panel,thickness_um\nhood,101.6\n", None).expect("reads");
    let second = read("b.csv", b"panel;thickness_mil\nbonnet;4\nroof;5\n", None).expect("reads");
    first.join(second);
    let films: Vec<f64> = first
        .readings
        .iter()
        .filter(|r| r.panel == "bonnet")
        .map(|r| r.film_um)
        .collect();
    // 4 mil are 101.6 µm by definition.
    assert!(
        films.len() == 2 && films.iter().all(|um| (um - 101.6).abs() < 1e-9),
        "{films:?}"
    );
    assert_eq!(first.written("bonnet"), "hood");
}
