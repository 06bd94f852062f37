//! The program on the command line.

use crate::support::{in_repository, post_bytes, send, service};
use std::io::Write;
use std::process::{Command, Output, Stdio};

/// Runs the program in the root of the repository.
fn barrowful(arguments: &[&str], input: &[u8]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_barrowful"));
    for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("BARROWFUL_")) {
        command.env_remove(name);
    }
    command.current_dir(in_repository("")).args(arguments);
    let piped = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = piped.spawn().unwrap();
    // A program that does not read closes the pipe early.
    let _ = child.stdin.take().unwrap().write_all(input);
    child.wait_with_output().unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

#[test]
fn json_is_what_the_service_answers_byte_for_byte() {
    let url = service();
    for (resource, file) in [
        ("applications", "kitchen-garden"),
        ("harvests", "one-bed"),
        ("brews", "one-brew"),
        ("balances", "two-lots"),
        ("seasons", "kitchen-garden"),
        ("seasons", "one-demand"),
    ] {
        let path = format!("demo-data/{resource}/{file}.json");
        let wanted = post_bytes(resource, std::fs::read(in_repository(&path)).unwrap()).bytes;
        let alone = barrowful(&["ask", &path, "--json"], b"");
        assert_eq!(alone.status.code(), Some(0), "{}", text(&alone.stderr));
        assert_eq!(alone.stdout, wanted, "{path}");
        assert!(alone.stderr.is_empty(), "{}", text(&alone.stderr));
        let sent = barrowful(&["ask", &path, "--json", "--to", &url], b"");
        assert_eq!((sent.status.code(), sent.stdout), (Some(0), wanted), "{path}");
    }
}

#[test]
fn without_a_choice_the_text_is_printed_as_the_service_wrote_it() {
    let output = barrowful(&["ask", "demo-data/balances/two-lots.json", "--to", &service()], b"");
    assert_eq!(output.status.code(), Some(0));
    let page = text(&output.stdout);
    for part in ["carrot rows", "22.7", "cured bin", "5 Apr 2027"] {
        assert!(page.contains(part), "{page}");
    }
    let body = std::fs::read(in_repository("demo-data/balances/two-lots.json")).unwrap();
    for (flags, query) in [(&[][..], "width=100&all=false"), (&["--all"], "width=100&all=true")] {
        let output =
            barrowful(&[&["ask", "demo-data/balances/two-lots.json", "--to", &service()], flags].concat(), b"");
        let headers = [("content-type", "application/json"), ("accept", "text/plain")];
        let address = format!("/v1/balances?{query}");
        let answer = send(&service(), (reqwest::Method::POST, &address), &headers, body.clone());
        assert_eq!(text(&output.stdout), answer.text());
    }
}

#[test]
fn a_season_is_printed_with_its_work_and_what_to_prepare() {
    let output = barrowful(&["ask", "demo-data/seasons/kitchen-garden.json", "--to", &service()], b"");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let page = text(&output.stdout);
    for part in [
        "62.3 L of the 251 L needed are missing",
        "What to do in the 30 days from 14 Sep 2026",
        "Warning: Protect yourself from dust and germs",
        "Options to close the shortfall",
        "Who gets what in 2027: of 65 L on hand and 349 L expected harvest, 225 L remain",
        "Harvests of the worm beds",
        "5 Apr 2027: 56.8 L short",
        "measure first            worms.feed_rate",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    let all = barrowful(&["ask", "demo-data/seasons/kitchen-garden.json", "--all", "--to", &service()], b"");
    for part in ["The plan week by week", "Produce more for 5 Apr 2027", "What to measure first"] {
        assert!(text(&all.stdout).contains(part) && !page.contains(part), "{part}\n{page}");
    }
    assert!(page.lines().all(|line| line.chars().count() <= 100), "{page}");
}

#[test]
fn csv_is_what_the_service_answers() {
    let output = barrowful(&["ask", "demo-data/applications/kitchen-garden.json", "--csv", "--to", &service()], b"");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(text(&output.stdout).starts_with("id,name,surface_area_m2,"), "{}", text(&output.stdout));
    let brews = barrowful(&["ask", "demo-data/brews/one-brew.json", "--csv", "--to", &service()], b"");
    assert_eq!(brews.status.code(), Some(0), "{}", text(&brews.stderr));
    assert!(text(&brews.stdout).starts_with("id,name,water_L,"), "{}", text(&brews.stdout));
}

#[test]
fn a_refused_file_ends_with_1_and_every_fault() {
    let file = "demo-data/refused/applications-three-faults.json";
    for more in [&[][..], &["--json"], &["--csv"]] {
        let output = barrowful(&[&["ask", file, "--to", &service()], more].concat(), b"");
        assert_eq!(output.status.code(), Some(1));
        assert!(output.stdout.is_empty());
        let page = text(&output.stderr);
        for part in ["(422)", "at /areas/0/surface/length\n", "at /areas/1/rate\n", "at /areas/1/colour\n", "per_plant"]
        {
            assert!(page.contains(part), "{page}");
        }
    }
}

#[test]
fn without_an_answer_it_ends_with_2() {
    for arguments in [
        &["ask", "demo-data/nowhere.json"][..],
        &["ask", "Cargo.toml"],
        &["ask", "demo-data/brews/one-brew.json", "--to", "http://127.0.0.1:1"],
        &["ask", "demo-data/brews/one-brew.json", "--to", "nonsense"],
    ] {
        let output = barrowful(arguments, b"");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", text(&output.stderr));
        assert!(output.stdout.is_empty() && !output.stderr.is_empty());
    }
}

#[test]
fn a_request_may_come_from_standard_input() {
    let body = std::fs::read(in_repository("demo-data/applications/one-bed.json")).unwrap();
    let output = barrowful(&["ask", "-", "--json", "--to", &service()], &body);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(output.stdout, post_bytes("applications", body).bytes);
    let wrong = barrowful(&["ask", "-", "--resource", "applications", "--to", &service()], b"{\"areas\": NaN}");
    assert_eq!(wrong.status.code(), Some(1));
    assert!(text(&wrong.stderr).contains("NaN"), "{}", text(&wrong.stderr));
}

#[test]
fn the_document_is_printed_as_committed() {
    for (arguments, file) in
        [(&["openapi"][..], "openapi/openapi.json"), (&["openapi", "--operations"], "openapi/operations.txt")]
    {
        let output = barrowful(arguments, b"");
        assert_eq!(output.status.code(), Some(0));
        assert!(
            output.stdout == std::fs::read(in_repository(file)).unwrap(),
            "{file} is not what `barrowful {}` prints",
            arguments.join(" ")
        );
    }
}

#[test]
fn the_health_check_tells_by_its_exit_code() {
    assert_eq!(barrowful(&["healthcheck", "--to", &service()], b"").status.code(), Some(0));
    let none = barrowful(&["healthcheck", "--to", "http://127.0.0.1:1"], b"");
    assert_eq!(none.status.code(), Some(1));
    assert!(!none.stderr.is_empty());
}

#[test]
fn a_taken_address_is_told() {
    let address = service();
    let output = barrowful(&["serve", "--bind", address.trim_start_matches("http://")], b"");
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("cannot listen on"), "{}", text(&output.stderr));
}
