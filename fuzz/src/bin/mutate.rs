//! Runs a target on its seeds and on changes of them, for so many seconds or so many times, on any toolchain: what there is without
//! coverage.
//!
//! Usage: mutate TARGET SECONDS|runs=COUNT FOLDER

use std::path::Path;
use std::time::{Duration, Instant};

/// A small seeded source of numbers (splitmix64).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(limit.max(1)).expect("it fits")).expect("it fits")
    }
}

/// A copy with a few bytes changed, taken out, or put in from another seed.
fn changed(seeds: &[Vec<u8>], numbers: &mut Numbers) -> Vec<u8> {
    let mut data = seeds[numbers.below(seeds.len())].clone();
    for _ in 0..=numbers.below(4) {
        let (from, length) = (numbers.below(data.len()), 1 + numbers.below(16));
        let to = (from + length).min(data.len());
        let other = &seeds[numbers.below(seeds.len())];
        match numbers.below(4) {
            0 => data[from..to].iter_mut().for_each(|byte| *byte = numbers.next().to_le_bytes()[0]),
            1 => drop(data.drain(from..to)),
            2 => drop(data.splice(from..to, b"-0.1e9,5\"]}[{: %"[numbers.below(16)..].iter().copied())),
            _ => {
                let start = numbers.below(other.len());
                let end = (start + 4 * length).min(other.len());
                drop(data.splice(from..from, other[start..end].iter().copied()));
            }
        }
    }
    data
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [target, bound, folder] = &arguments[..] else { panic!("mutate TARGET SECONDS|runs=COUNT FOLDER") };
    let (_, run) = barrowful_fuzz::TARGETS.iter().find(|(name, _)| name == target).expect("a target of this name");
    let files = std::fs::read_dir(Path::new(folder)).expect("a folder of seeds");
    let mut seeds: Vec<Vec<u8>> =
        files.map(|file| std::fs::read(file.expect("a seed").path()).expect("a seed is read")).collect();
    seeds.sort();
    seeds.iter().for_each(|seed| run(seed));
    let runs: Option<u64> = bound.strip_prefix("runs=").map(|runs| runs.parse().expect("a number of runs"));
    let seconds = runs.map_or_else(|| bound.parse().expect("a number of seconds"), |_| 0);
    let end = Instant::now() + Duration::from_secs(seconds);
    let (mut numbers, mut count) = (Numbers(1), 0_u64);
    while runs.map_or_else(|| Instant::now() < end, |runs| count < runs) {
        let data = changed(&seeds, &mut numbers);
        // Shown by the panic hook's caller: the input that broke it.
        let broke = std::panic::catch_unwind(|| run(&data)).is_err();
        assert!(!broke, "{target} breaks on {:?}", String::from_utf8_lossy(&data));
        count += 1;
    }
    println!("{target}: {} seeds, {count} changes of them, nothing found", seeds.len());
}
