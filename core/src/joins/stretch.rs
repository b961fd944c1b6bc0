//! Stretches: the maximal shares of two strands along which they are each other's partners.

use super::pair::{Partner, Rule, Strands, Taken};
use super::strand::Spot;
use crate::math::Arrange;

/// Two strands running together; shares of `b` may run against those of `a`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Index of the first strand.
    pub a: usize,
    /// Index of the second.
    pub b: usize,
    /// Shares on `a`, rising.
    pub on_a: (f64, f64),
    /// Facing shares on `b`, in the same order.
    pub on_b: (f64, f64),
    /// True when a third border runs along most of it.
    pub crowded: bool,
}

/// Which shares of each strand are spoken for.
#[derive(Debug, Clone, Default)]
pub struct Cover {
    /// Disjoint intervals a strand, sorted.
    spans: Vec<Vec<(f64, f64)>>,
}

/// Steps of halving towards the end of a stretch: 2⁻³⁰ of a strand is below every tolerance in use.
const HALVINGS: usize = 30;

/// Steps in which a stretch is followed to its end. Larger: slower; smaller: the facing place is lost on strongly
/// curved borders.
const STEPS: usize = 5;

/// Shortest stretch kept, as a share of the search distance. Larger: real short joins vanish; smaller: touching
/// corners count as joins.
const SHORTEST: f64 = 0.01;

impl Cover {
    /// Nothing covered on `strands` strands.
    pub fn new(strands: usize) -> Self {
        Self { spans: vec![Vec::new(); strands] }
    }

    /// True when a share is covered.
    pub fn holds(&self, strand: usize, share: f64) -> bool {
        self.spans.get(strand).is_some_and(|s| s.iter().any(|i| share >= i.0 && share <= i.1))
    }

    /// Covers an interval, its ends in any order.
    pub fn add(&mut self, strand: usize, ends: (f64, f64)) {
        let Some(spans) = self.spans.get_mut(strand) else { return };
        spans.push((ends.0.min(ends.1), ends.0.max(ends.1)));
        spans.arrange_by(|x, y| x.0.total_cmp(&y.0));
        let mut merged: Vec<(f64, f64)> = Vec::new();
        for &(low, high) in spans.iter() {
            match merged.last_mut() {
                Some(last) if low <= last.1 => last.1 = last.1.max(high),
                _ => merged.push((low, high)),
            }
        }
        *spans = merged;
    }

    /// What is left free between two shares, pieces not longer than `least` left out.
    pub fn free(&self, strand: usize, low: f64, high: f64, least: f64) -> Vec<(f64, f64)> {
        let mut from = low;
        let mut all = Vec::new();
        for &(a, b) in self.spans.get(strand).into_iter().flatten() {
            if a - from > least {
                all.push((from, a));
            }
            from = from.max(b);
        }
        if high - from > least {
            all.push((from, high));
        }
        all
    }
}

/// All stretches of wanted strands under a rule, by strands and then by share, on what `cover` leaves free.
///
/// Every strand looks for partners at its probes; a stretch grows from a place where two strands choose each other,
/// as far as both keep running together and no probe in between says otherwise.
pub fn stretches(strands: &Strands<'_>, rule: &Rule, cover: &Cover, tick: &mut dyn FnMut(usize) -> bool) -> Option<Vec<Stretch>> {
    let taken = |p: &Partner| p.distance > rule.touching && cover.holds(p.strand, p.spot.share);
    let mut seeds: Vec<Seed> = Vec::new();
    let mut choices: Vec<Vec<Choice>> = vec![Vec::new(); strands.all.len()];
    for (i, strand) in strands.all.iter().enumerate() {
        if tick(i) {
            return None;
        }
        let mut probes = strand.probes();
        for (low, high) in cover.free(i, strand.low, strand.high, 0.0) {
            if !probes.iter().any(|&p| p > low && p < high) {
                probes.push(0.5 * (low + high));
            }
        }
        probes.arrange_by(f64::total_cmp);
        for share in probes {
            if cover.holds(i, share) {
                continue;
            }
            let partners = if strands.concerns(i, share, rule.radius) { strands.partners(i, share, rule, &taken) } else { Vec::new() };
            if let Some(own) = choices.get_mut(i) {
                own.push(Choice { share, partners: partners.iter().map(|p| p.strand).collect() });
            }
            for p in partners.iter().filter(|p| strands.is_wanted(i) || strands.is_wanted(p.strand)) {
                let (a, b, at_a, at_b) = if i < p.strand { (i, p.strand, share, p.spot.share) } else { (p.strand, i, p.spot.share, share) };
                seeds.push(Seed { a, b, at_a, at_b, seen_from_a: i < p.strand, crowded: partners.len() > 1 });
            }
        }
    }
    seeds.arrange_by(|x, y| (x.a, x.b).cmp(&(y.a, y.b)).then(x.at_a.total_cmp(&y.at_a)));
    let mut all: Vec<Stretch> = Vec::new();
    for group in seeds.chunk_by(|x, y| (x.a, x.b) == (y.a, y.b)) {
        let first = all.len();
        for seed in group {
            let known = all.iter().skip(first).find(|s| seed.at_a >= s.on_a.0 && seed.at_a <= s.on_a.1);
            if known.is_some() {
                continue;
            }
            if let Some(mut s) = grow(strands, rule, seed, &against(&choices, seed), cover, &taken) {
                let within = || group.iter().filter(|g| g.at_a >= s.on_a.0 && g.at_a <= s.on_a.1);
                s.crowded = 2 * within().filter(|g| g.crowded).count() > within().count();
                all.push(s);
            }
        }
    }
    Some(all)
}

/// A place where two strands run together, as one of them sees it.
#[derive(Debug, Clone, Copy)]
struct Seed {
    a: usize,
    b: usize,
    at_a: f64,
    at_b: f64,
    seen_from_a: bool,
    crowded: bool,
}

/// Whom a strand chose at one of its probes; nobody where its border is free.
#[derive(Debug, Clone)]
struct Choice {
    share: f64,
    partners: Vec<usize>,
}

/// Nearest shares of strand `a`, below and above the seed, at which its own probes did not choose `b`.
///
/// Those of `b` are not asked: where three borders lie within their trims' tolerances, what chooses whom both ways changes
/// from place to place, and one join would come apart in many.
fn against(choices: &[Vec<Choice>], seed: &Seed) -> (Option<f64>, Option<f64>) {
    let (mut below, mut above) = (None::<f64>, None::<f64>);
    for s in choices.get(seed.a).into_iter().flatten().filter(|c| !c.partners.contains(&seed.b)).map(|c| c.share) {
        if s < seed.at_a {
            below = Some(below.map_or(s, |b| b.max(s)));
        } else if s > seed.at_a {
            above = Some(above.map_or(s, |b| b.min(s)));
        }
    }
    (below, above)
}

fn grow(
    strands: &Strands<'_>,
    rule: &Rule,
    seed: &Seed,
    against: &(Option<f64>, Option<f64>),
    cover: &Cover,
    taken: &Taken<'_>,
) -> Option<Stretch> {
    let (a, b) = (strands.all.get(seed.a)?, strands.all.get(seed.b)?);
    // Mutual: the strand that did not speak must choose this one too, unless it is spoken for.
    let (silent, at, speaker) = if seed.seen_from_a { (seed.b, seed.at_b, seed.a) } else { (seed.a, seed.at_a, seed.b) };
    if !cover.holds(silent, at) && !strands.partners(silent, at, rule, taken).iter().any(|p| p.strand == speaker) {
        return None;
    }
    let free = |share: f64, p: &Partner| {
        let (on_a, on_b) = (cover.holds(seed.a, share), cover.holds(p.strand, p.spot.share));
        let (speaker, silent) = if seed.seen_from_a { (on_a, on_b) } else { (on_b, on_a) };
        !speaker && (!silent || p.distance <= rule.touching)
    };
    let meets = |share: f64, guess: f64| {
        let here = a.spot(share);
        strands.meets(seed.a, &here, seed.b, guess, rule).filter(|p| free(share, p)).map(|p| p.spot)
    };
    let chooses = |share: f64| {
        let found = strands.partners(seed.a, share, rule, taken);
        found.iter().find(|p| p.strand == seed.b).map(|p| p.spot)
    };
    let start = meets(seed.at_a, seed.at_b)?;
    let ends: Vec<f64> = [b.low, b.high].iter().map(|&s| a.foot_anywhere(b.spot(s).point).share).collect();
    let slack = Strands::slack(rule) / a.speed();
    let walk = |limit: f64, contested: bool| -> (f64, f64) {
        // Towards a probe that chose another, running together is not enough: borders that part with a third between them
        // do so far beyond the place where they are each other's nearest.
        let end = |share: f64, guess: f64| if contested { chooses(share) } else { meets(share, guess) };
        // In steps, each starting from the one before: on a closed border both ends are one point, and only the way
        // there tells at which of them the partner arrives.
        let (mut good, mut spot, mut bad) = (seed.at_a, start, limit);
        let mut rate = 0.0;
        for step in 1..=STEPS {
            let share = seed.at_a + (limit - seed.at_a) * (step as f64 / STEPS as f64);
            let guess = spot.share + rate * (share - good);
            match end(share, guess) {
                Some(q) => {
                    rate = (q.share - spot.share) / (share - good);
                    (good, spot) = (share, q);
                }
                None => {
                    bad = share;
                    break;
                }
            }
        }
        if good == limit || seed.at_a == limit {
            return (limit, spot.share);
        }
        let limit = bad;
        // The other border's own end is where a stretch usually stops.
        for &e in &ends {
            let between = (e - good) * (limit - good) > 0.0 && (e - limit) * (good - limit) > 0.0;
            if between && let Some(q) = end(e, spot.share) {
                (good, spot) = (e, q);
                // Just beyond it there is nothing to meet; if so, that is the end, without halving.
                let beyond = e + 4.0 * slack * (limit - e).signum();
                if (limit - beyond) * (limit - e) > 0.0 && end(beyond, spot.share).is_none() {
                    bad = beyond;
                }
            }
        }
        for _ in 0..HALVINGS {
            if (bad - good).abs() <= 4.0 * slack {
                break;
            }
            let middle = 0.5 * (good + bad);
            match end(middle, spot.share) {
                Some(q) => (good, spot) = (middle, q),
                None => bad = middle,
            }
        }
        (good, spot.share)
    };
    let (low, at_low) = walk(against.0.unwrap_or(a.low), against.0.is_some());
    let (high, at_high) = walk(against.1.unwrap_or(a.high), against.1.is_some());
    let long =
        |x: Spot, y: Spot| x.point.distance(y.point) > SHORTEST * rule.radius || (high - low) * a.speed() > 3.0 * SHORTEST * rule.radius;
    let kept = long(a.spot(low), a.spot(high));
    kept.then_some(Stretch { a: seed.a, b: seed.b, on_a: (low, high), on_b: (at_low, at_high), crowded: seed.crowded })
}
