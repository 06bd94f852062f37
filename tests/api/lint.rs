//! Our own lint of the document: what generators of clients, and people, need.

use crate::files::rust_files;
use crate::support::get;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Names that are keywords in Python, TypeScript or Rust.
const KEYWORDS: &[&str] = &[
    "and",
    "as",
    "assert",
    "async",
    "await",
    "break",
    "case",
    "catch",
    "class",
    "const",
    "continue",
    "crate",
    "debugger",
    "def",
    "default",
    "del",
    "delete",
    "do",
    "elif",
    "else",
    "enum",
    "except",
    "export",
    "extends",
    "finally",
    "fn",
    "for",
    "from",
    "function",
    "global",
    "if",
    "impl",
    "import",
    "in",
    "instanceof",
    "interface",
    "is",
    "lambda",
    "let",
    "loop",
    "match",
    "mod",
    "move",
    "mut",
    "new",
    "nonlocal",
    "not",
    "or",
    "package",
    "pass",
    "private",
    "protected",
    "pub",
    "public",
    "raise",
    "ref",
    "return",
    "self",
    "static",
    "struct",
    "super",
    "switch",
    "this",
    "throw",
    "trait",
    "try",
    "type",
    "typeof",
    "unsafe",
    "use",
    "var",
    "void",
    "where",
    "while",
    "with",
    "yield",
];

fn document() -> Value {
    get("/openapi.json").json()
}

/// The schemas that a schema leads to, itself among them.
fn reach(document: &Value, schema: &Value, found: &mut BTreeSet<String>) {
    match schema {
        Value::Object(members) => {
            let reference = members.get("$ref").and_then(Value::as_str);
            if let Some((kind, name)) = reference.and_then(|r| r.trim_start_matches("#/components/").split_once('/'))
                && (kind != "schemas" || found.insert(name.to_owned()))
            {
                reach(document, &document["components"][kind][name], found);
            }
            members.values().for_each(|member| reach(document, member, found));
        }
        Value::Array(items) => items.iter().for_each(|item| reach(document, item, found)),
        _ => {}
    }
}

/// The schemas of requests, and those of answers.
fn sides(document: &Value) -> (BTreeSet<String>, BTreeSet<String>) {
    let (mut requests, mut answers) = (BTreeSet::new(), BTreeSet::new());
    for operation in operations(document) {
        reach(document, &operation["requestBody"], &mut requests);
        reach(document, &operation["responses"], &mut answers);
    }
    (requests, answers)
}

fn operations(document: &Value) -> Vec<&Value> {
    let paths = document["paths"].as_object().unwrap();
    paths.values().flat_map(|item| item.as_object().unwrap().values()).collect()
}

/// Calls a function with every object of a value and where it is.
fn walk(value: &Value, at: &str, see: &mut dyn FnMut(&str, &serde_json::Map<String, Value>)) {
    match value {
        Value::Object(members) => {
            see(at, members);
            members.iter().for_each(|(name, member)| walk(member, &format!("{at}/{name}"), see));
        }
        Value::Array(items) => items.iter().enumerate().for_each(|(i, item)| walk(item, &format!("{at}/{i}"), see)),
        _ => {}
    }
}

#[test]
fn every_operation_has_an_id_a_summary_a_description_and_a_declared_tag() {
    let document = document();
    let tags: Vec<&Value> = document["tags"].as_array().unwrap().iter().map(|tag| &tag["name"]).collect();
    let mut ids = BTreeSet::new();
    for operation in operations(&document) {
        for field in ["operationId", "summary", "description"] {
            assert!(operation[field].as_str().is_some_and(|text| !text.is_empty()), "{field} of {operation}");
        }
        let own = operation["tags"].as_array().unwrap();
        assert!(own.len() == 1 && tags.contains(&&own[0]), "{operation}");
        assert!(ids.insert(operation["operationId"].to_string()), "{} is there twice", operation["operationId"]);
        for parameter in operation["parameters"].as_array().into_iter().flatten() {
            let parameter = crate::contract::followed(&document, parameter);
            assert!(parameter["description"].as_str().is_some_and(|text| !text.is_empty()), "{parameter}");
        }
    }
    assert_eq!(document["openapi"], "3.1.0");
    assert!(document["info"]["license"]["identifier"].is_string() && document["info"]["contact"].is_object());
}

#[test]
fn unions_are_one_of_named_closed_variants_distinguished_by_kind() {
    let document = document();
    let schemas = document["components"]["schemas"].as_object().unwrap();
    let mut unions = 0;
    for (name, schema) in schemas.iter().filter(|(_, schema)| schema.get("discriminator").is_some()) {
        unions += 1;
        assert_eq!(schema["discriminator"]["propertyName"], "kind", "{name}");
        let mapping = schema["discriminator"]["mapping"].as_object().unwrap();
        let variants: BTreeSet<&str> =
            schema["oneOf"].as_array().unwrap().iter().map(|v| v["$ref"].as_str().unwrap()).collect();
        let mapped: BTreeSet<&str> = mapping.values().map(|v| v.as_str().unwrap()).collect();
        assert_eq!(variants, mapped, "{name}");
        for (kind, reference) in mapping {
            let variant = &schemas[reference.as_str().unwrap().rsplit('/').next().unwrap()];
            assert_eq!(variant["additionalProperties"], false, "{reference}");
            assert_eq!(variant["properties"]["kind"]["enum"], serde_json::json!([kind]), "{reference}");
            assert!(variant["required"].as_array().unwrap().contains(&"kind".into()), "{reference}");
        }
    }
    assert!(unions >= 4, "{unions} unions");
}

#[test]
fn requests_are_closed_and_have_no_default_keyword() {
    let document = document();
    let (requests, _) = sides(&document);
    assert!(requests.len() > 30, "{requests:?}");
    for name in &requests {
        let schema = &document["components"]["schemas"][name];
        walk(schema, name, &mut |at, members| {
            assert!(!members.contains_key("default") || at.ends_with("/properties"), "{at} has a default");
            // A change takes any member: it is read once it is merged into the request.
            if members.get("type").is_some_and(|kind| kind == "object") && name != "MergePatch" {
                assert_eq!(members.get("additionalProperties"), Some(&Value::Bool(false)), "{at} is open");
            }
        });
    }
}

/// What an answer holds so that it may be sent back: it has the type that requests have for it.
const SENT_BACK: &[&str] = &["PieceSizeInput", "Quantity", "RateInput", "SeasonBedRequest", "Units", "WormBedRequest"];

#[test]
fn answers_are_open_and_share_with_requests_only_what_may_be_sent_back() {
    let document = document();
    let (requests, answers) = sides(&document);
    let shared: BTreeSet<&String> = requests.intersection(&answers).collect();
    let mut sent_back = BTreeSet::new();
    for name in SENT_BACK {
        reach(&document, &serde_json::json!({ "$ref": format!("#/components/schemas/{name}") }), &mut sent_back);
    }
    assert_eq!(shared, sent_back.iter().collect(), "in requests and answers");
    for name in answers.difference(&requests) {
        walk(&document["components"]["schemas"][name], name, &mut |at, members| {
            assert!(members.get("additionalProperties") != Some(&Value::Bool(false)), "{at} is closed");
        });
    }
}

#[test]
fn no_schema_has_a_choice_of_null() {
    walk(&document()["components"]["schemas"], "", &mut |at, members| {
        let null = |kind: &Value| kind == "null" || kind.as_array().is_some_and(|kinds| kinds.contains(&"null".into()));
        assert!(!members.get("type").is_some_and(null), "{at} may be null");
    });
}

/// One in a list of alternatives reaches no generated client.
#[test]
fn no_alternative_is_described_beside_its_reference() {
    walk(&document()["components"], "", &mut |at, members| {
        let beside = |one: &&Value| one.get("$ref").is_some() && one.get("description").is_some();
        let found = members.get("oneOf").and_then(Value::as_array).into_iter().flatten().find(beside);
        assert!(found.is_none(), "{at}: {found:?}");
    });
}

/// Parameters that the address may have several of are lists, and those of which only some words are known are enums.
#[test]
fn parameters_are_lists_and_words_where_they_can_be() {
    let document = document();
    let (mut words, mut lists) = (BTreeSet::new(), BTreeSet::new());
    for parameter in operations(&document).into_iter().flat_map(|it| it["parameters"].as_array().into_iter().flatten())
    {
        let parameter = crate::contract::followed(&document, parameter);
        let (name, schema) = (parameter["name"].as_str().unwrap(), &parameter["schema"]);
        assert!(schema.get("default").is_none() && schema["type"].is_string(), "{parameter}");
        words.extend(schema.get("enum").map(|_| name.to_owned()));
        lists.extend((schema["type"] == "array").then(|| name.to_owned()));
    }
    let named = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect::<BTreeSet<_>>();
    let all = ["as", "bound", "decimal", "delimiter", "errors", "of", "rate_kind", "surface", "table", "units"];
    assert_eq!((words, lists), (named(&all), named(&["assume", "container"])));
}

#[test]
fn there_are_no_tuples_no_intersections_and_no_names_that_are_keywords() {
    let document = document();
    walk(&document["components"], "", &mut |at, members| {
        // What a line of a batch holds may fit several questions: its `ask` says which it is.
        let of_any_question = ["/schemas/BatchQuestion/properties/body", "/schemas/BatchAnswer/properties/body"];
        let is_odd = |word: &&str| members.contains_key(*word) && !(*word == "anyOf" && of_any_question.contains(&at));
        let odd = ["prefixItems", "const", "allOf", "anyOf", "not"].into_iter().find(is_odd);
        assert!(odd.is_none(), "{at} has {odd:?}");
        let Some(properties) = members.get("properties").and_then(Value::as_object) else { return };
        for name in properties.keys() {
            let excused = (at.ends_with("/Problem") && name == "type")
                || (at.ends_with("/Explanation") && name == "with")
                || (at.ends_with("/AssumptionDefinition") && name == "default");
            assert!(excused || !KEYWORDS.contains(&name.as_str()), "{at} has a property {name}");
        }
    });
}

/// Whether a description says something: a word alone only repeats the name.
fn says_something(part: &Value) -> bool {
    part["description"].as_str().is_some_and(|text| text.split_whitespace().count() >= 3)
}

#[test]
fn every_schema_property_and_body_says_what_it_is() {
    let document = document();
    let (mut properties, mut silent) = (0, Vec::new());
    for part in ["components", "paths"] {
        walk(&document[part], part, &mut |at, members| {
            let own = members.get("properties").and_then(Value::as_object).filter(|_| !at.ends_with("/properties"));
            for (name, property) in own.into_iter().flatten().filter(|_| !at.contains("/examples/")) {
                properties += 1;
                silent.extend((!says_something(property)).then(|| format!("{at}: {name}")));
            }
        });
    }
    for (name, schema) in document["components"]["schemas"].as_object().unwrap() {
        silent.extend((!schema["description"].is_string()).then(|| name.clone()));
    }
    for operation in operations(&document) {
        let body = operation.get("requestBody").filter(|body| !says_something(body));
        silent.extend(body.map(|_| format!("the body of {}", operation["operationId"])));
    }
    assert!(properties > 700, "{properties} properties");
    assert!(silent.is_empty(), "without a description of three words or more: {silent:#?}");
}

#[test]
fn every_reference_leads_somewhere_and_every_schema_is_used() {
    let document = document();
    let (requests, answers) = sides(&document);
    let all: BTreeSet<String> = document["components"]["schemas"].as_object().unwrap().keys().cloned().collect();
    let used: BTreeSet<String> = requests.union(&answers).cloned().collect();
    assert_eq!(all, used);
}

#[test]
fn every_fault_code_and_problem_is_in_the_description() {
    let document = document();
    let text = document["info"]["description"].as_str().unwrap();
    for code in barrowful::http::wire::ErrorCode::ALL {
        assert!(text.contains(&format!("`{}`", code.as_str())), "{}", code.as_str());
    }
}

/// Two types of one name would show the one where the other is meant.
#[test]
fn every_schema_has_a_name_of_its_own() {
    let named = |(_, file): &(PathBuf, String)| -> Vec<String> {
        let names = file.split("#[schema(as = ").skip(1);
        names.map(|rest| rest.chars().take_while(|letter| letter.is_alphanumeric()).collect()).collect()
    };
    let mut names: Vec<String> = rust_files("src").iter().flat_map(named).collect();
    names.sort_unstable();
    let twice: Vec<_> = names.windows(2).filter(|pair| pair[0] == pair[1]).collect();
    assert!(names.len() > 50 && twice.is_empty(), "{twice:?}");
}

/// Words that do not explain themselves have a clause each.
#[test]
fn the_words_of_answers_are_explained_one_by_one() {
    let document = document();
    let schemas = &document["components"]["schemas"];
    for (schema, field) in [
        ("Assumption", "set_by"),
        ("BedEnd", "phase"),
        ("BedLot", "ended_because"),
        ("CompostingMethod", ""),
        ("HarvestComparison", "larger"),
        ("OutOfReach", "remedy"),
        ("PieceSizeInput", ""),
        ("ShortfallOption", "kind"),
        ("TooLate", "limiting_factor"),
    ] {
        let of = if field.is_empty() { &schemas[schema] } else { &schemas[schema]["properties"][field] };
        let meaning = of["description"].as_str().unwrap();
        for word in of["enum"].as_array().unwrap() {
            assert!(meaning.contains(&format!("`{}`", word.as_str().unwrap())), "{schema} {field}: {word}: {meaning}");
        }
    }
}
