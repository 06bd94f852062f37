//! The program on the command line.

mod lines;
mod tls;

use crate::support::{form, get, in_repository, post_bytes, send, service};
use barrowful::http::server::Running;
use barrowful::http::settings::{Secret, Settings};
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
fn a_season_is_printed_with_its_work_and_what_to_produce() {
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
        "5 Apr 2027: typically 56.8 L short",
        "measure first            feed rate of the worms",
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
        if more == ["--json"] {
            let problem: serde_json::Value = serde_json::from_str(page).unwrap();
            assert_eq!((&problem["status"], &problem["errors_total"]), (&422.into(), &3.into()));
            continue;
        }
        // A colon, line and column, as editors and terminals take them.
        for part in [
            "(422)",
            "at demo-data/refused/applications-three-faults.json:5:58 (/areas/0/surface/length)\n",
            "(/areas/1/rate)\n",
            "(/areas/1/colour)\n",
            "per_plant",
        ] {
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
    let reported = text(&wrong.stderr);
    assert!(reported.contains("   at Standard input:1:11\n") && reported.matches("NaN").count() == 1, "{reported}");
    let wrong = barrowful(&["ask", "demo-data/nowhere.json", "--json"], b"");
    let reported: serde_json::Value = serde_json::from_slice(&wrong.stderr).unwrap();
    assert!(reported["detail"].as_str().unwrap().contains("could not be read"), "{reported}");
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
    // An image may have no certificates at all.
    let mut bare = Command::new(env!("CARGO_BIN_EXE_barrowful"));
    bare.args(["healthcheck", "--to", &service()]).envs([("SSL_CERT_FILE", "/nowhere"), ("SSL_CERT_DIR", "/nowhere")]);
    assert_eq!(bare.status().unwrap().code(), Some(0));
    let none = barrowful(&["healthcheck", "--to", "http://127.0.0.1:1"], b"");
    assert_eq!(none.status.code(), Some(1));
    assert!(!none.stderr.is_empty());
}

#[test]
fn a_taken_address_is_reported() {
    let address = service();
    let output = barrowful(&["serve", "--bind", address.trim_start_matches("http://")], b"");
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("cannot listen on"), "{}", text(&output.stderr));
}

/// A folder of its own for a test, below that of cargo for tests.
fn folder(name: &str) -> std::path::PathBuf {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("ask").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

#[test]
fn each_form_is_asked_for_by_its_word() {
    let url = service();
    let season = crate::support::demo("seasons/kitchen-garden.json");
    for (word, accept) in
        [("html", "text/html"), ("svg", "image/svg+xml"), ("calendar", "text/calendar"), ("csv", "text/csv")]
    {
        let output = barrowful(&["ask", "demo-data/seasons/kitchen-garden.json", "--as", word, "--to", &url], b"");
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        assert_eq!(output.stdout, form("seasons", accept, &season).bytes, "{word}");
    }
    let table = barrowful(&["ask", "demo-data/seasons/kitchen-garden.json", "--table", "stock", "--to", &url], b"");
    let headers = [("content-type", "application/json"), ("accept", "text/csv")];
    let body = serde_json::to_vec(&season).unwrap();
    let wanted = send(&url, (reqwest::Method::POST, "/v1/seasons?table=stock"), &headers, body);
    assert_eq!(text(&table.stdout), wanted.text());
    let none = barrowful(&["ask", "demo-data/balances/two-lots.json", "--as", "calendar", "--to", &url], b"");
    assert_eq!(none.status.code(), Some(1));
    assert!(
        text(&none.stderr).contains("(406)") && text(&none.stderr).contains("image/svg+xml"),
        "{}",
        text(&none.stderr)
    );
}

#[test]
fn several_files_are_answered_in_turn_and_the_worst_decides_the_exit_code() {
    let files = ["demo-data/applications/one-bed.json", "demo-data/brews/one-brew.json"];
    let url = service();
    let one = |file: &str, form: &str| barrowful(&["ask", file, "--as", form, "--to", &url], b"").stdout;
    let output = barrowful(&["ask", files[0], files[1], "--to", &url], b"");
    let wanted = files.map(|file| format!("== {file}\n{}", text(&one(file, "text"))));
    assert_eq!((output.status.code(), text(&output.stdout)), (Some(0), wanted.concat().as_str()));
    // Answers in JSON make lines.
    let output = barrowful(&["ask", files[0], files[1], "--json", "--to", &url], b"");
    let wanted = files.map(|file| format!("{}\n", text(&one(file, "json"))));
    assert_eq!(text(&output.stdout), wanted.concat());

    let refused = "demo-data/refused/applications-three-faults.json";
    for (more, code) in
        [(&[refused][..], 1), (&["demo-data/nowhere.json"], 2), (&[refused, "demo-data/nowhere.json"], 2)]
    {
        let output = barrowful(&[&["ask"], more, &[files[0], "--json", "--to", &url]].concat(), b"");
        assert_eq!(output.status.code(), Some(code), "{more:?}");
        assert_eq!(text(&output.stdout), format!("{}\n", text(&one(files[0], "json"))));
    }
}

#[test]
fn answers_go_into_a_file_or_a_folder() {
    let (url, folder) = (service(), folder("output"));
    let into = folder.join("bed.html");
    let output = barrowful(
        &["ask", "demo-data/applications/one-bed.json", "--as", "html", "-o", into.to_str().unwrap(), "--to", &url],
        b"",
    );
    assert_eq!((output.status.code(), output.stdout.len()), (Some(0), 0), "{}", text(&output.stderr));
    assert!(std::fs::read_to_string(&into).unwrap().starts_with("<!DOCTYPE html>"));
    let files = ["demo-data/harvests/forecast.json", "demo-data/brews/drench-for-the-rows.json"];
    let output =
        barrowful(&["ask", files[0], files[1], "--as", "calendar", "-o", folder.to_str().unwrap(), "--to", &url], b"");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    for name in ["forecast.ics", "drench-for-the-rows.ics"] {
        assert!(std::fs::read_to_string(folder.join(name)).unwrap().starts_with("BEGIN:VCALENDAR"), "{name}");
    }
    // Neither a request nor another answer is written over.
    let (one, other) = (folder.join("x.json"), folder.join("deeper"));
    std::fs::create_dir_all(&other).unwrap();
    let request = std::fs::read(in_repository("demo-data/applications/one-bed.json")).unwrap();
    for path in [&one, &other.join("x.json")] {
        std::fs::write(path, &request).unwrap();
    }
    let (one, other, into) = (one.to_str().unwrap(), other.join("x.json"), folder.to_str().unwrap());
    for (files, form) in [(vec![one], "json"), (vec![one, other.to_str().unwrap()], "text")] {
        let output = barrowful(&[&["ask", "--as", form, "-o", into, "--to", &url], &files[..]].concat(), b"");
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains("would be written over"), "{}", text(&output.stderr));
        assert_eq!(std::fs::read(one).unwrap(), request);
    }
    let nowhere = barrowful(&["ask", files[1], "-o", "/nowhere/at/all.txt", "--to", &url], b"");
    assert_eq!(nowhere.status.code(), Some(2));
    assert!(text(&nowhere.stderr).contains("could not be written"), "{}", text(&nowhere.stderr));
}

#[test]
fn a_link_answers_as_the_request_does() {
    let url = service();
    let file = "demo-data/seasons/kitchen-garden.json";
    let output = barrowful(&["ask", file, "--link", "--to", &url], b"");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let address = text(&output.stdout).trim_end();
    let path = address.strip_prefix(&url).unwrap();
    assert!(path.starts_with("/v1/seasons?request=") && path.ends_with("&as=calendar"), "{path}");
    let calendar = form("seasons", "text/calendar", &crate::support::demo("seasons/kitchen-garden.json"));
    assert_eq!(get(path).text(), calendar.text());
    let secret = url.replace("http://", "http://grower:secret@");
    let shown = barrowful(&["ask", file, "--link", "--to", &secret], b"");
    assert_eq!((shown.status.code(), text(&shown.stdout).trim_end()), (Some(0), address));
    let nowhere = barrowful(&["ask", file, "--link", "--to", ""], b"");
    assert_eq!((nowhere.status.code(), nowhere.stdout.len()), (Some(2), 0));
    // Nobody gets the address of a refusal.
    let refused = barrowful(&["ask", "demo-data/balances/two-lots.json", "--link", "--to", &url], b"");
    assert_eq!((refused.status.code(), refused.stdout.len()), (Some(1), 0));
    assert!(text(&refused.stderr).contains("html"), "{}", text(&refused.stderr));
    let table = ["ask", file, "--link", "--table", "work", "--as", "csv", "--to", &url];
    let address = String::from_utf8(barrowful(&table, b"").stdout).unwrap();
    let table = get(address.trim_end().strip_prefix(&url).unwrap());
    assert!(
        table.header("content-type").starts_with("text/csv") && table.text().contains("lay_feed"),
        "{}",
        table.text()
    );
}

#[test]
fn a_token_comes_by_option_environment_or_file() {
    let service =
        Running::start(Settings { tokens: vec![Secret("apple-pear-quince".to_owned())], ..Settings::local() }).unwrap();
    let file = folder("token").join("token.txt");
    std::fs::write(&file, "\n apple-pear-quince \n").unwrap();
    let asked = ["ask", "demo-data/applications/one-bed.json", "--to", &service.url()];
    let with = |more: &[&str], variable: Option<(&str, &str)>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_barrowful"));
        command.current_dir(in_repository("")).args(asked).args(more);
        command.env_remove("BARROWFUL_TOKEN").env_remove("BARROWFUL_TOKEN_FILE").envs(variable);
        command.output().unwrap()
    };
    let named = file.to_str().unwrap();
    for (more, variable, code) in [
        (&[][..], None, 1),
        (&["--token", "apple-pear-quince"], None, 0),
        (&["--token", "apple"], None, 1),
        (&["--token-file", named], None, 0),
        (&[], Some(("BARROWFUL_TOKEN", "apple-pear-quince")), 0),
        (&[], Some(("BARROWFUL_TOKEN_FILE", named)), 0),
        (&["--token-file", "/nowhere"], None, 2),
    ] {
        let output = with(more, variable);
        assert_eq!(output.status.code(), Some(code), "{more:?} {variable:?}: {}", text(&output.stderr));
        assert!(!text(&output.stderr).contains("apple"), "{}", text(&output.stderr));
    }
}

/// As `barrowful openapi | head` does.
#[test]
fn a_reader_that_has_enough_is_no_failure() {
    for arguments in [&["openapi"][..], &["openapi", "--operations"], &["completions", "bash"], &["serve", "--check"]] {
        let mut command = Command::new(env!("CARGO_BIN_EXE_barrowful"));
        let piped = command.args(arguments).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = piped.spawn().unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!((output.status.code(), text(&output.stderr)), (Some(0), ""), "{arguments:?}");
    }
}

#[test]
fn shells_get_what_to_complete() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let output = barrowful(&["completions", shell], b"");
        assert_eq!(output.status.code(), Some(0));
        assert!(
            text(&output.stdout).contains("--token-file") || text(&output.stdout).contains("token-file"),
            "{shell}"
        );
    }
    let help = barrowful(&["ask", "--help"], b"");
    assert!(text(&help.stdout).contains("Exit codes: 0 if every request was answered, 1"), "{}", text(&help.stdout));
}
