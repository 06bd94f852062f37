//! Settings: where they come from, what wins, and what is refused with what to write instead.

use barrowful::http::settings::{Flags, LogForm, MetricsAt, Secret, Settings};
use std::path::PathBuf;
use std::process::{Command, Output};
use std::time::Duration;

fn read(flags: &[(&str, &str)], variables: &[(&str, &str)]) -> Result<Settings, Vec<String>> {
    let flags = flags.iter().fold(Flags::default(), |flags, (name, value)| flags.with(name, value));
    Settings::read(&flags, &variables.iter().map(|(name, value)| (name.into(), value.into())).collect())
}

/// A file of its own for each test, in the folder of cargo for tests.
fn file(name: &str, content: &str) -> PathBuf {
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("settings-{name}"));
    std::fs::write(&path, content).unwrap();
    path
}

fn words(secrets: &[Secret]) -> Vec<&str> {
    secrets.iter().map(|secret| secret.0.as_str()).collect()
}

/// The only fault of a setting.
fn fault(name: &str, value: &str) -> String {
    let mut faults = read(&[(name, value)], &[]).unwrap_err();
    assert_eq!(faults.len(), 1, "{faults:?}");
    faults.remove(0)
}

#[test]
fn flags_win_over_the_environment_and_this_over_the_file() {
    let path = file(
        "order",
        "bind = \"127.0.0.1:1\"\ndrain = 3\nlog = \"json\"\norigins = [\"https://a.example\", \"https://b.example\"]\n",
    );
    let variables =
        [("BARROWFUL_CONFIG", path.to_str().unwrap()), ("BARROWFUL_BIND", "127.0.0.1:2"), ("BARROWFUL_DRAIN", "4")];
    let settings = read(&[("bind", "127.0.0.1:3")], &variables).unwrap();
    assert_eq!(settings.bind.port(), 3);
    assert_eq!(settings.drain, Duration::from_secs(4));
    assert_eq!(settings.log, LogForm::Json);
    assert_eq!(settings.origins, ["https://a.example", "https://b.example"]);
}

#[test]
fn an_empty_variable_counts_as_not_set() {
    let names = [
        "BIND",
        "TOKEN",
        "TOKEN_FILE",
        "ORIGINS",
        "WORKERS",
        "ADDRESS_KEY",
        "DEADLINE",
        "DRAIN",
        "LOG",
        "METRICS",
        "CONFIG",
    ];
    let names: Vec<String> = names.iter().map(|name| format!("BARROWFUL_{name}")).collect();
    for empty in ["", " "] {
        let variables: Vec<(&str, &str)> =
            names.iter().map(|name| (name.as_str(), if name.ends_with("CONFIG") { "" } else { empty })).collect();
        let settings = read(&[], &variables).unwrap();
        assert_eq!(settings.bind.port(), 8080);
        assert!(settings.tokens.is_empty() && settings.origins.is_empty() && settings.address_key.is_none());
        assert_eq!(settings.workers, None);
    }
    // A flag that is empty by mistake would open the service.
    assert!(fault("token", "").contains("--token: this is empty"));
}

#[test]
fn lists_may_have_blanks_and_commas() {
    let settings = read(
        &[],
        &[
            ("BARROWFUL_ORIGINS", " https://a.example , http://localhost:3000\n"),
            ("BARROWFUL_TOKEN", "hazel, rowan  willow"),
        ],
    )
    .unwrap();
    assert_eq!(settings.origins, ["https://a.example", "http://localhost:3000"]);
    assert_eq!(words(&settings.tokens), ["hazel", "rowan", "willow"]);
}

#[test]
fn tokens_of_a_file_join_those_that_are_given() {
    let path = file("tokens", "rowan\r\n\n  willow  \n");
    let settings = read(&[("token", "hazel"), ("token-file", path.to_str().unwrap())], &[]).unwrap();
    assert_eq!(words(&settings.tokens), ["hazel", "rowan", "willow"]);
    let empty = file("no-tokens", "\n \n");
    assert!(fault("token-file", empty.to_str().unwrap()).contains("holds no token"));
    assert!(fault("token-file", "/nowhere/tokens").contains("cannot be read"));
}

#[test]
fn what_can_never_match_is_refused_with_what_to_write() {
    for (origins, wanted) in [
        ("https://garden.example/", "write https://garden.example."),
        ("https://garden.example/app?x#y", "write https://garden.example."),
        ("https://Garden.Example", "write https://garden.example."),
        ("HTTPS://garden.example", "write https://garden.example."),
        ("https://garden.example:443", "write https://garden.example."),
        ("http://garden.example:80", "write http://garden.example."),
        ("https://me@garden.example", "write https://garden.example."),
        ("garden.example", "write https://garden.example."),
        ("https://*.example", "letter by letter"),
        ("https://gärten.example", "xn--"),
        ("null", "write an origin as"),
        ("https://", "write an origin as"),
        ("*, https://garden.example", "write it alone"),
    ] {
        let fault = fault("origins", origins);
        assert!(fault.starts_with("--origins: ") && fault.contains(wanted), "{origins}: {fault}");
    }
    for origins in ["*", "https://garden.example", "http://localhost:8080", "http://[::1]:3000", "app://garden"] {
        assert_eq!(read(&[("origins", origins)], &[]).unwrap().origins, [origins]);
    }
    for token in ["hägar", "a\u{7f}b"] {
        let fault = fault("token", &format!("rowan {token}"));
        assert!(fault.contains("token 2 can never match") && !fault.contains(token), "{fault}");
    }
    let spaced = file("spaced", "two words\n");
    assert!(fault("token-file", spaced.to_str().unwrap()).contains("token 1 can never match"));
    for key in ["a b", "a&b", "a%41", "ö"] {
        let faults = read(&[("token", "hazel"), ("address-key", key)], &[]).unwrap_err();
        assert!(faults[0].contains("letters, digits and - . _ ~") && !faults[0].contains(key), "{faults:?}");
    }
}

#[test]
fn every_fault_is_reported_at_once_with_its_place() {
    let path = file("faults", "bind = true\ncolour = \"green\"\nlog = \"loud\"\n");
    let flags = [("workers", "0"), ("deadline", "0"), ("drain", "-1"), ("stop-within", "soon"), ("metrics", "9090")];
    let faults =
        read(&flags, &[("BARROWFUL_CONFIG", path.to_str().unwrap()), ("BARROWFUL_ORIGINS", "https://a.example/b")])
            .unwrap_err();
    for part in [
        "bind in ",
        "colour in ",
        "log in ",
        "--workers: 0 is not a number from 1 to 256",
        "--deadline: 0 is not a number of seconds from 0.01",
        "--drain: -1",
        "--stop-within: soon",
        "--metrics: 9090",
        "BARROWFUL_ORIGINS: https://a.example/b",
    ] {
        assert!(faults.iter().any(|fault| fault.starts_with(part)), "{part}: {faults:?}");
    }
    assert_eq!(faults.len(), 9, "{faults:?}");
}

/// A slip in the name or the list of a token would leave the service open.
#[test]
fn what_looks_like_a_setting_and_sets_nothing_is_refused() {
    for name in ["BARROWFUL_TOKENS", "BARROWFUL_DEADLIN", "BARROWFUL_"] {
        let faults = read(&[], &[(name, "5")]).unwrap_err();
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert!(faults[0].starts_with(name) && faults[0].contains("here are BARROWFUL_BIND, BARROWFUL_TOKEN,"));
        assert!(faults[0].ends_with(", BARROWFUL_CONFIG."), "{faults:?}");
    }
    let faults = read(&[], &[("BARROWFUL_DEADLNE", "5")]).unwrap_err();
    assert!(faults[0].contains("did you mean BARROWFUL_DEADLINE? There are"), "{faults:?}");
    // As Kubernetes names services, and as the commands that ask read it.
    let others = ["BARROWFUL_PORT", "BARROWFUL_PORT_8080_TCP_ADDR", "BARROWFUL_WEB_SERVICE_HOST", "BARROWFUL_URL"];
    assert!(read(&[], &others.map(|name| (name, "tcp://10.0.0.1:8080"))).is_ok());
    for (name, what) in [("token", "token"), ("origins", "origin")] {
        assert!(fault(name, " , ").contains(&format!("holds no {what}")));
        let variable = format!("BARROWFUL_{}", name.to_uppercase());
        let faults = read(&[], &[(&variable, ",")]).unwrap_err();
        assert!(faults[0].starts_with(&variable) && faults.len() == 1, "{faults:?}");
    }
}

#[test]
fn settings_that_have_no_effect_together_are_refused() {
    assert!(fault("address-key", "hazel").starts_with("--address-key: without a token"));
    assert!(fault("address-key", "hazel").contains("set a token as well"));
    let faults = read(&[], &[("BARROWFUL_ADDRESS_KEY", "hazel")]).unwrap_err();
    assert!(faults[0].starts_with("BARROWFUL_ADDRESS_KEY: without a token"), "{faults:?}");
    // One of them takes every address of the machine, or both take the same.
    for (bind, metrics) in [
        ("127.0.0.1:9090", "127.0.0.1:9090"),
        ("0.0.0.0:9090", "127.0.0.1:9090"),
        ("127.0.0.1:9090", "0.0.0.0:9090"),
        ("[::]:9090", "127.0.0.1:9090"),
    ] {
        let faults = read(&[("bind", bind), ("metrics", metrics)], &[]).unwrap_err();
        assert!(faults[0].starts_with("--metrics: this is the address of the service itself"), "{faults:?}");
    }
    for metrics in ["127.0.0.1:9091", "127.0.0.2:9090", "[::1]:9090"] {
        assert!(read(&[("bind", "127.0.0.1:9090"), ("metrics", metrics)], &[]).is_ok(), "{metrics}");
    }
    let own = read(&[("metrics", "127.0.0.1:9090")], &[]).unwrap();
    assert_eq!(own.metrics, MetricsAt::Address("127.0.0.1:9090".parse().unwrap()));
}

#[test]
fn a_file_that_cannot_be_read_is_said_with_its_line() {
    let broken = file("broken", "bind = \"127.0.0.1:1\"\ntoken = hazel\n");
    let config = |path: &str| read(&[], &[("BARROWFUL_CONFIG", path)]).unwrap_err();
    let faults = config(broken.to_str().unwrap());
    assert!(faults[0].contains("not TOML at line 2"), "{faults:?}");
    let twice = file("twice", "drain = 3\n\nbind = \"127.0.0.1:1\"\nbind = \"127.0.0.1:2\"\n");
    let faults = config(twice.to_str().unwrap());
    assert!(faults[0].contains("not TOML at line 4"), "{faults:?}");
    let near = file("near", "dran = 3\n");
    assert!(config(near.to_str().unwrap())[0].contains("did you mean drain? There are bind,"));
    assert!(config("/nowhere/settings.toml")[0].contains("cannot be read"));
}

fn barrowful(arguments: &[&str], variables: &[(&str, &str)]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_barrowful"));
    command.args(arguments).env_clear().envs(variables.iter().copied()).output().unwrap()
}

#[test]
fn serve_checks_its_settings_and_shows_them_without_secrets() {
    let checked = barrowful(
        &["serve", "--check", "--token", "-hazel", "--token", "rowan", "--drain", "5"],
        &[("BARROWFUL_ADDRESS_KEY", "willow"), ("BARROWFUL_ORIGINS", "")],
    );
    let out = String::from_utf8(checked.stdout).unwrap();
    assert_eq!((checked.status.code(), checked.stderr.as_slice()), (Some(0), &b""[..]), "{out}");
    for line in [
        "bind         127.0.0.1:8080 (default)",
        "token        2 tokens (--token)",
        "address-key  set (BARROWFUL_ADDRESS_KEY)",
        "drain        5 (--drain)",
        "origins      not set (default)",
    ] {
        assert!(out.lines().any(|shown| shown == line), "{line}\n{out}");
    }
    assert!(["hazel", "rowan", "willow"].iter().all(|secret| !out.contains(secret)), "{out}");
    for arguments in [&["serve", "--check"][..], &["serve"], &[]] {
        let refused = barrowful(arguments, &[("BARROWFUL_BIND", "8080"), ("BARROWFUL_LOG", "xml")]);
        let faults = String::from_utf8(refused.stderr).unwrap();
        assert_eq!((refused.status.code(), refused.stdout.as_slice()), (Some(2), &b""[..]), "{faults}");
        assert!(
            faults.contains("BARROWFUL_BIND: 8080 is not an address") && faults.contains("BARROWFUL_LOG: xml"),
            "{faults}"
        );
    }
}

#[test]
fn the_help_names_every_setting_with_its_variable() {
    let help = String::from_utf8(barrowful(&["serve", "--help"], &[]).stdout).unwrap();
    for shown in read(&[], &[]).unwrap().shown {
        let variable = format!("BARROWFUL_{}", shown.name.to_uppercase().replace('-', "_"));
        assert!(help.contains(&format!("--{}", shown.name)) && help.contains(&variable), "{}", shown.name);
    }
}
