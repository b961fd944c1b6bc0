//! The order in which the exact picture replaces the quick one: tiles from the middle out.

use rakelight_core::math::Arrange;

/// Side of a tile, device pixels. Larger tiles answer a new camera move later; smaller ones draw
/// each face's vertices more often.
const TILE: i32 = 128;

/// Most tiles of the first batch. More come late; fewer show little.
const FIRST: usize = 4;

/// A rectangle of the frame, device pixels from the lower left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rect {
    /// Left.
    pub x: i32,
    /// Bottom.
    pub y: i32,
    /// Width.
    pub w: i32,
    /// Height.
    pub h: i32,
}

impl Rect {
    /// True when the two share a pixel.
    pub fn meets(&self, other: &Rect) -> bool {
        self.x < other.x + other.w && other.x < self.x + self.w && self.y < other.y + other.h && other.y < self.y + self.h
    }

    /// The smallest rectangle that holds both.
    pub fn joined(&self, other: &Rect) -> Rect {
        let (x, y) = (self.x.min(other.x), self.y.min(other.y));
        let (right, top) = ((self.x + self.w).max(other.x + other.w), (self.y + self.h).max(other.y + other.h));
        Rect { x, y, w: right - x, h: top - y }
    }

    /// True when it holds no pixel.
    pub fn is_empty(&self) -> bool {
        self.w <= 0 || self.h <= 0
    }

    /// The part of it inside a frame.
    pub fn inside(&self, width: i32, height: i32) -> Rect {
        let (x, y) = (self.x.clamp(0, width), self.y.clamp(0, height));
        Rect { x, y, w: (self.x + self.w).clamp(x, width) - x, h: (self.y + self.h).clamp(y, height) - y }
    }
}

/// Tiles still to be drawn exactly, and how many to draw before looking up.
#[derive(Clone, Debug, Default)]
pub struct Settle {
    tiles: Vec<Rect>,
    total: usize,
    batch: usize,
}

impl Settle {
    /// Starts anew: tiles over the frame that meet one of `covered`, nearest the middle first.
    pub fn restart(&mut self, width: i32, height: i32, covered: &[Rect]) {
        self.tiles.clear();
        for y in (0..height).step_by(TILE as usize) {
            for x in (0..width).step_by(TILE as usize) {
                let tile = Rect { x, y, w: TILE, h: TILE }.inside(width, height);
                if covered.iter().any(|r| r.meets(&tile)) {
                    self.tiles.push(tile);
                }
            }
        }
        let off = |r: &Rect| {
            let (dx, dy) = (i64::from(2 * r.x + r.w - width), i64::from(2 * r.y + r.h - height));
            dx * dx + dy * dy
        };
        // Taken from the end.
        self.tiles.arrange_by_key(|r| (-off(r), r.y, r.x));
        self.total = self.tiles.len();
        self.batch = self.batch.max(1);
    }

    /// Takes the next batch of tiles.
    pub fn take(&mut self) -> Vec<Rect> {
        let rest = self.tiles.len().saturating_sub(self.batch);
        let mut batch = self.tiles.split_off(rest);
        batch.reverse();
        batch
    }

    /// Makes the next batch small, whatever was learnt: what it shows is to come soon.
    pub fn begin_small(&mut self) {
        self.batch = self.batch.min(FIRST);
    }

    /// Gives back tiles that were taken and not drawn, in the order they were taken.
    pub fn give_back(&mut self, tiles: &[Rect]) {
        self.tiles.extend(tiles.iter().rev());
    }

    /// Learns from the time the last batch took, so that one batch takes about `wanted` ms.
    pub fn learn(&mut self, took: f64, wanted: f64) {
        self.batch = if took < wanted * 0.7 {
            (self.batch * 2).min(1024)
        } else if took > wanted * 1.4 {
            (self.batch / 2).max(1)
        } else {
            self.batch
        };
    }

    /// True when nothing is left.
    pub fn done(&self) -> bool {
        self.tiles.is_empty()
    }

    /// Share of the tiles that are exact, 0 to 1; 1 when there are none.
    pub fn share(&self) -> f64 {
        if self.total == 0 { 1.0 } else { 1.0 - self.tiles.len() as f64 / self.total as f64 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiles_cover_the_model_once_from_the_middle_out() {
        for (w, h) in [(1440, 900), (390, 844), (100, 60), (128, 128)] {
            let mut settle = Settle::default();
            settle.restart(w, h, &[Rect { x: 0, y: 0, w, h }]);
            let mut area = 0;
            let mut last = -1.0;
            while !settle.done() {
                for t in settle.take() {
                    let off = f64::hypot(f64::from(2 * t.x + t.w - w), f64::from(2 * t.y + t.h - h));
                    assert!(off >= last - 1e-9);
                    last = off;
                    area += t.w * t.h;
                }
            }
            assert_eq!(area, w * h);
            assert_eq!(settle.share(), 1.0);
        }
    }

    #[test]
    fn tiles_given_back_come_next() {
        let mut settle = Settle::default();
        settle.restart(1440, 900, &[Rect { x: 0, y: 0, w: 1440, h: 900 }]);
        settle.learn(1.0, 60.0);
        settle.learn(1.0, 60.0);
        let first = settle.take();
        assert_eq!(first.len(), 4);
        settle.give_back(&first[1..]);
        assert_eq!(settle.take()[..3], first[1..]);
    }

    #[test]
    fn empty_paper_is_not_visited() {
        let mut settle = Settle::default();
        settle.restart(1280, 1280, &[Rect { x: 300, y: 300, w: 10, h: 10 }]);
        assert_eq!(settle.take().len(), 1);
        assert!(settle.done());
        settle.restart(1280, 1280, &[]);
        assert!(settle.done() && settle.share() == 1.0);
    }

    #[test]
    fn batches_grow_and_shrink_with_the_time_they_take() {
        let mut settle = Settle::default();
        settle.restart(1280, 1280, &[Rect { x: 0, y: 0, w: 1280, h: 1280 }]);
        assert_eq!(settle.take().len(), 1);
        settle.learn(5.0, 60.0);
        settle.learn(10.0, 60.0);
        assert_eq!(settle.take().len(), 4);
        settle.learn(200.0, 60.0);
        assert_eq!(settle.take().len(), 2);
    }
}
