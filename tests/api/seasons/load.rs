//! Large seasons are computed beside the small questions, and more of them than can wait have to come again.

use crate::seasons::kitchen_garden;
use crate::support::{client, in_repository, with};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

/// The program in a process of its own: the places where large questions wait are shared by a whole process.
struct Program(Child, String);

impl Program {
    fn start() -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_barrowful"));
        command.current_dir(in_repository("")).args(["serve", "--bind", "127.0.0.1:0", "--workers", "1"]);
        let mut child = command.stderr(Stdio::piped()).spawn().unwrap();
        let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
        let line = lines.next().unwrap().unwrap();
        Self(child, line.split_once("listens on ").unwrap().1.to_owned())
    }

    fn post(&self, resource: &str, body: &Value) -> reqwest::Result<reqwest::blocking::Response> {
        let request = client().post(format!("{}/v1/{resource}", self.1)).header("content-type", "application/json");
        request.body(serde_json::to_vec(body).unwrap()).send()
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Twenty may compute or wait; the others are refused at once, while a small question is answered by the one worker.
#[test]
fn small_questions_are_answered_while_large_seasons_are_computed() {
    let program = Program::start();
    let large = with(&kitchen_garden(), "/simulation_runs", json!(100_000));
    let climate = large["climate"].clone();
    let produce = with(&large["additional_production"], "/climate", climate);
    let days: Vec<Value> = (1..=6).map(|n| json!({"amount": "40 L", "on": format!("2027-0{n}-20")})).collect();
    let containers = large["containers"].clone();
    let balance = json!({"containers": containers, "stock": [], "demands": days, "additional_production": produce, "simulation_runs": 100_000});
    let (tell, reported) = std::sync::mpsc::channel();
    std::thread::scope(|scope| {
        for n in 0..28 {
            let (tell, program, large, balance) = (tell.clone(), &program, &large, &balance);
            scope.spawn(move || {
                let body = if n % 2 == 0 { large } else { balance };
                let answer = program.post(if n % 2 == 0 { "seasons" } else { "balances" }, body);
                let _ = tell.send(answer.ok().map(|a| (a.status().as_u16(), a.headers().get("retry-after").cloned())));
            });
        }
        // Those that find no place get that answer first of all.
        let first = reported.recv().unwrap().unwrap();
        assert_eq!(first.0, 503);
        assert!(first.1.unwrap().to_str().unwrap().parse::<u32>().unwrap() >= 1);
        let small = json!({"stock": [{"amount": "9 L"}], "demands": [{"amount": "1 L"}]});
        assert_eq!(program.post("balances", &small).unwrap().status(), 200);
        let live = client().get(format!("{}/health/live", program.1)).send().unwrap();
        assert_eq!(live.status(), 200);
        let answered = reported.try_iter().filter(|one| one.as_ref().is_some_and(|(status, _)| *status == 200)).count();
        assert!(answered < 20, "the large ones were done before the small one was asked");
        // What is still computed is of no use to this test.
        let process = i32::try_from(program.0.id()).unwrap();
        assert!(Command::new("kill").args(["-9", &process.to_string()]).status().unwrap().success());
    });
}
