//! Bodies changed at random are judged as strictly as by plain reading, and nothing panics.

use super::*;

/// A small generator of numbers that look random.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % sides
    }
}

fn count(node: &Node) -> usize {
    1 + match node {
        Node::List(items) => items.iter().map(count).sum(),
        Node::Object(members) => members.iter().map(|(_, value)| count(value)).sum(),
        _ => 0,
    }
}

fn other_value(dice: &mut Dice, nulls: bool) -> Node<'static> {
    match dice.roll(if nulls { 10 } else { 9 }) {
        0 => Node::Bool(true),
        1 => Node::Int(-3),
        2 => Node::Int(100_000),
        3 => Node::Float(4.5),
        4 => Node::Text("x".into()),
        5 => Node::Text("sunny".into()),
        6 => Node::List(vec![]),
        7 => Node::object_from([("x", Node::Int(1))]),
        8 => Node::object_from([("kind", "circle")]),
        _ => Node::Null,
    }
}

/// Changes the node with this number and gives how many are left to pass.
fn change<'a>(node: &mut Node<'a>, at: &mut usize, dice: &mut Dice, nulls: bool) {
    if *at == 0 {
        let new = other_value(dice, nulls);
        match (dice.roll(4), &mut *node) {
            (0, Node::List(items)) if !items.is_empty() => {
                items.remove(dice.roll(items.len()));
            }
            (0, Node::Object(members)) if !members.is_empty() => {
                members.remove(dice.roll(members.len()));
            }
            (1, Node::List(items)) if !items.is_empty() => {
                items.push(items[dice.roll(items.len())].clone());
            }
            (1, Node::Object(members)) if !members.is_empty() => {
                let member = members[dice.roll(members.len())].clone();
                members.insert(dice.roll(members.len()), member);
            }
            (2, Node::Object(members)) => members.push(("extra".into(), new)),
            _ => *node = new,
        }
        *at = usize::MAX;
        return;
    }
    *at -= 1;
    let inner: Vec<&mut Node<'a>> = match node {
        Node::List(items) => items.iter_mut().collect(),
        Node::Object(members) => members.iter_mut().map(|(_, value)| value).collect(),
        _ => Vec::new(),
    };
    for node in inner {
        if *at == usize::MAX {
            return;
        }
        change(node, at, dice, nulls);
    }
}

fn write(node: &Node) -> String {
    let text = |text: &str| serde_json::to_string(text).unwrap();
    match node {
        Node::Null => "null".to_owned(),
        Node::Bool(value) => value.to_string(),
        Node::Int(value) => value.to_string(),
        Node::UInt(value) => value.to_string(),
        Node::Float(value) => format!("{value:?}"),
        Node::Text(value) => text(value),
        Node::List(items) => {
            let items: Vec<String> = items.iter().map(write).collect();
            format!("[{}]", items.join(","))
        }
        Node::Object(members) => {
            let member = |(name, value): &tree::Member| format!("{}:{}", text(name), write(value));
            let members: Vec<String> = members.iter().map(member).collect();
            format!("{{{}}}", members.join(","))
        }
    }
}

#[test]
fn changed_bodies_are_judged_as_strictly_as_by_plain_reading() {
    let mut dice = Dice(20_240_501);
    let (mut accepted, mut refused) = (0, 0);
    for _ in 0..20_000 {
        let mut tree = parse(PLAN.as_bytes()).unwrap();
        for _ in 0..=dice.roll(3) {
            let mut at = dice.roll(count(&tree));
            change(&mut tree, &mut at, &mut dice, false);
        }
        let text = write(&tree);
        let strict: Option<Plan> = serde_json::from_str(&text).ok();
        let again = parse(text.as_bytes()).unwrap();
        assert_eq!(again, tree);
        let errors = RequestErrors::body();
        let ours = read::<Plan>(&again, JsonPath::root(), &errors);
        assert_eq!(strict.is_some(), errors.is_empty(), "{text}");
        if strict.is_some() {
            accepted += 1;
            assert_eq!(ours, strict, "{text}");
        } else {
            refused += 1;
            assert!(ours.is_some(), "{text}");
            let sorted = errors.into_sorted(&again);
            assert!(!sorted.is_empty());
            let mut pointers: Vec<_> = sorted.iter().map(|f| (pointer(f), f.code)).collect();
            pointers.sort_unstable();
            pointers.dedup();
            assert_eq!(pointers.len(), sorted.len(), "{text}");
        }
    }
    assert!(accepted > 500 && refused > 5_000, "{accepted} {refused}");
}

#[test]
fn changed_bodies_with_unions_never_panic() {
    let mut dice = Dice(7);
    for _ in 0..20_000 {
        let mut tree = parse(GARDEN.as_bytes()).unwrap();
        for _ in 0..=dice.roll(6) {
            let mut at = dice.roll(count(&tree));
            change(&mut tree, &mut at, &mut dice, true);
        }
        let text = write(&tree);
        let again = parse(text.as_bytes()).unwrap();
        let sort = || {
            let errors = RequestErrors::body();
            let garden = read::<Garden>(&again, JsonPath::root(), &errors);
            assert!(garden.is_some() || !errors.is_empty(), "{text}");
            (garden.is_some(), errors.into_sorted(&again))
        };
        assert_eq!(sort(), sort(), "{text}");
    }
}

#[test]
fn any_bytes_never_panic() {
    let mut dice = Dice(99);
    for _ in 0..20_000 {
        let mut bytes = GARDEN.as_bytes().to_vec();
        for _ in 0..=dice.roll(3) {
            let at = dice.roll(bytes.len());
            match dice.roll(3) {
                0 => bytes[at] = u8::try_from(dice.roll(256)).unwrap(),
                1 => bytes.truncate(at + 1),
                _ => bytes.insert(at, b"\"{}[],:-e0\\n "[dice.roll(13)]),
            }
        }
        match parse(&bytes) {
            Ok(tree) => {
                let errors = RequestErrors::body();
                let garden = read::<Garden>(&tree, JsonPath::root(), &errors);
                assert!(garden.is_some() || !errors.is_empty());
            }
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
}
