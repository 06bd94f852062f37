//! A reader of formulas in plain text, with no part of the program in it: the grammar of docs/formulas.md and nothing more.
//!
//! `sum := product (("+" | "-") product)*`, `product := power+ ("/" power)*`, `power := atom ["^2"]`, `atom := number | name |
//! function "(" sum ["," sum] ")" | "(" sum ")"`. Nothing may be beside what divides: that would have two readings.

use std::collections::BTreeMap;

/// What rounding to nine digits may leave beside a whole number, as a share of it.
const ROUNDING_TOLERANCE: f64 = 2e-8;

/// The value of each name.
pub type Named = BTreeMap<String, Vec<f64>>;

/// Computes the right-hand side of `V = A d / (1 - s)`.
pub fn evaluate(text: &str, named: &Named) -> Result<f64, String> {
    let (_, right) = text.split_once(" = ").ok_or("no =")?;
    let mut reader = Reader { tokens: tokens(right), at: 0, named };
    let found = reader.sum()?;
    if reader.at < reader.tokens.len() {
        return Err(format!("{:?} is left over", reader.tokens.get(reader.at)));
    }
    match found.as_slice() {
        [one] => Ok(*one),
        _ => Err("a list comes out".to_owned()),
    }
}

fn tokens(text: &str) -> Vec<String> {
    let mut tokens = Vec::new();
    let mut word = String::new();
    for sign in text.chars().chain([' ']) {
        if sign.is_alphanumeric() || sign == '_' || sign == '.' {
            word.push(sign);
            continue;
        }
        if !word.is_empty() {
            tokens.push(std::mem::take(&mut word));
        }
        if sign != ' ' {
            tokens.push(sign.to_string());
        }
    }
    tokens
}

struct Reader<'a> {
    tokens: Vec<String>,
    at: usize,
    named: &'a Named,
}

type Values = Result<Vec<f64>, String>;

/// Item by item; one value goes with each item of a list.
fn each(a: &[f64], b: &[f64], of: fn(f64, f64) -> f64) -> Values {
    match (a, b) {
        ([one], many) => Ok(many.iter().map(|x| of(*one, *x)).collect()),
        (many, [one]) => Ok(many.iter().map(|x| of(*x, *one)).collect()),
        (a, b) if a.len() == b.len() => Ok(a.iter().zip(b).map(|(a, b)| of(*a, *b)).collect()),
        _ => Err("lists of different length".to_owned()),
    }
}

impl Reader<'_> {
    fn next_is(&self, signs: &[&str]) -> bool {
        self.tokens.get(self.at).is_some_and(|token| signs.contains(&token.as_str()))
    }

    fn take(&mut self) -> Result<String, String> {
        let token = self.tokens.get(self.at).cloned().ok_or("it breaks off")?;
        self.at += 1;
        Ok(token)
    }

    fn sum(&mut self) -> Values {
        let mut found = self.product()?;
        while self.next_is(&["+", "-"]) {
            let minus = self.take()? == "-";
            let next = self.product()?;
            found = each(&found, &next, if minus { |a, b| a - b } else { |a, b| a + b })?;
        }
        Ok(found)
    }

    fn product(&mut self) -> Values {
        let mut found = self.power()?;
        let mut divided = false;
        while self.at < self.tokens.len() && !self.next_is(&["+", "-", ")", ","]) {
            if self.next_is(&["/"]) {
                self.take()?;
                let under = self.power()?;
                found = each(&found, &under, |a, b| a / b)?;
                divided = true;
            } else if divided {
                return Err("a factor is beside a divisor".to_owned());
            } else {
                let next = self.power()?;
                found = each(&found, &next, |a, b| a * b)?;
            }
        }
        Ok(found)
    }

    fn power(&mut self) -> Values {
        let found = self.atom()?;
        if !self.next_is(&["^"]) {
            return Ok(found);
        }
        self.take()?;
        if self.take()? != "2" {
            return Err("only squares".to_owned());
        }
        each(&found, &found, |a, b| a * b)
    }

    fn atom(&mut self) -> Values {
        let token = self.take()?;
        if token == "(" {
            return self.closed();
        }
        if self.next_is(&["("])
            && ["sum", "root", "largest", "min", "max", "abs", "ceil", "floor", "exp", "ln"].contains(&token.as_str())
        {
            self.take()?;
            return self.function(&token);
        }
        if token == "pi" {
            return Ok(vec![std::f64::consts::PI]);
        }
        let number = token.parse().ok().map(|number: f64| vec![number]);
        number.or_else(|| self.named.get(&token).cloned()).ok_or(format!("what is {token}?"))
    }

    fn closed(&mut self) -> Values {
        let found = self.sum()?;
        if self.take()? == ")" { Ok(found) } else { Err("a bracket stays open".to_owned()) }
    }

    fn function(&mut self, name: &str) -> Values {
        if name == "min" || name == "max" {
            let first = self.sum()?;
            if self.take()? != "," {
                return Err("two values are due".to_owned());
            }
            let second = self.closed()?;
            return each(&first, &second, if name == "min" { f64::min } else { f64::max });
        }
        let inside = self.closed()?;
        Ok(match name {
            "sum" => vec![inside.iter().sum()],
            "largest" => vec![inside.iter().copied().fold(0.0, f64::max)],
            "root" => inside.iter().map(|x| x.max(0.0).sqrt()).collect(),
            "abs" => inside.iter().map(|x| x.abs()).collect(),
            "exp" => inside.iter().map(|x| x.exp()).collect(),
            "ln" => inside.iter().map(|x| x.ln()).collect(),
            "ceil" => inside.iter().map(|x| (x * (1.0 - ROUNDING_TOLERANCE)).ceil().max(1.0)).collect(),
            _ => inside.iter().map(|x| (x * (1.0 + ROUNDING_TOLERANCE)).floor()).collect(),
        })
    }
}

#[test]
fn the_reader_reads_as_the_page_says() {
    let named: Named = [("A", vec![6.0]), ("d", vec![2.0]), ("D", vec![1.0, 2.0]), ("c", vec![3.0, 4.0])]
        .map(|(name, values)| (name.to_owned(), values))
        .into();
    let read = |text: &str| evaluate(text, &named);
    assert_eq!(read("V = A d / (1 - 0.25)"), Ok(16.0));
    assert_eq!(read("V = 2 (A - d) d^2 / A"), Ok(32.0 / 6.0));
    assert_eq!(read("R = sum(D c) / sum(D)"), Ok(11.0 / 3.0));
    assert_eq!(read("x = 1 / exp(A / d / 3)"), Ok(1.0 / 1.0_f64.exp()));
    assert_eq!(read("x = max(0, A - 8) + ceil(A / 4) + floor(A / 4)"), Ok(3.0));
    assert!(
        read("x = A / d d").is_err() && read("x = A +").is_err() && read("x = B").is_err() && read("x = D").is_err()
    );
}
