//! Changes of a sequence.

use super::dispatch::PREFERENCES;
use super::schedule::{Board, Sequence};
use super::shop::Shop;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// How deep changes reach into a sequence: all of it, half, a quarter ...
const LEVELS: usize = 5;
/// Places that every change can reach at least.
const LEAST_REACH: usize = 96;
/// Tasks that are drawn to find a similar one.
const DRAWN: usize = 6;

/// Changes sequences, and knows what it changed.
pub struct Changer<'s, 'a> {
    shop: &'s Shop<'a>,
    rng: ChaCha8Rng,
    /// Places of a sequence from here on are changed.
    from: usize,
    /// What was changed since the last [`Changer::settle`].
    cars: bool,
    panels: Vec<usize>,
    who: Vec<usize>,
    prefers: bool,
}

impl<'s, 'a> Changer<'s, 'a> {
    /// A changer with its own chance.
    #[must_use]
    pub fn new(shop: &'s Shop<'a>, seed: u64, stream: u64) -> Changer<'s, 'a> {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(stream);
        Changer {
            shop,
            rng,
            from: 0,
            cars: false,
            panels: Vec::new(),
            who: Vec::new(),
            prefers: false,
        }
    }

    /// Makes two sequences equal again that differ by the last changes.
    pub fn settle(&mut self, model: &Sequence, other: &mut Sequence) {
        if std::mem::take(&mut self.cars) {
            other.cars.clone_from(&model.cars);
        }
        for car in self.panels.drain(..) {
            other.panels[car].clone_from(&model.panels[car]);
        }
        for task in self.who.drain(..) {
            other.who[task] = model.who[task];
        }
        if std::mem::take(&mut self.prefers) {
            other.prefers.clone_from(&model.prefers);
        }
    }

    /// Takes the changes as made.
    pub fn forget(&mut self) {
        self.cars = false;
        self.panels.clear();
        self.who.clear();
        self.prefers = false;
    }

    /// One change or a few of the sequence that is kept on the board.
    pub fn change(&mut self, sequence: &mut Sequence, board: &Board<'_, '_>) {
        // A change late in the sequence costs little to schedule: half, a
        // quarter ... of it, each as often as the whole.
        let count = sequence.cars.len();
        let depth = self.below(LEVELS);
        self.from = if sequence.through_time {
            0
        } else {
            count - (count >> depth).max(count.min(LEAST_REACH))
        };
        self.change_once(sequence, board);
        while self.below(3) == 0 {
            self.change_once(sequence, board);
        }
    }

    fn change_once(&mut self, sequence: &mut Sequence, board: &Board<'_, '_>) {
        if sequence.through_time {
            return match self.below(10) {
                0..6 => self.move_car(sequence),
                6..9 => self.move_panel(sequence),
                _ => {
                    let worker = self.below(sequence.prefers.len());
                    sequence.prefers[worker] = self.below(PREFERENCES.len());
                    self.prefers = true;
                }
            };
        }
        let whole_cars = self.shop.problem.bays.is_some();
        match self.below(12) {
            0..2 => self.move_car(sequence),
            2..4 if !whole_cars => self.move_mention(sequence),
            4..6 if !whole_cars => self.swap_mentions(sequence),
            2..8 => self.move_panel(sequence),
            8..10 => self.swap_workers(sequence, board),
            _ => self.choose_worker(sequence, board),
        }
    }

    fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end).unwrap_or(1);
        let roll = u64::from(self.rng.next_u32());
        usize::try_from((roll * end) >> 32).unwrap_or(0)
    }

    /// A place of the sequence that may be changed.
    fn place(&mut self, sequence: &Sequence) -> usize {
        self.from + self.below(sequence.cars.len() - self.from)
    }

    /// A car with all its tasks to another place.
    fn move_car(&mut self, sequence: &mut Sequence) {
        let at = self.place(sequence);
        let car = sequence.cars[at];
        let mentions = self.shop.cars[car].count();
        sequence.cars.retain(|other| *other != car);
        self.cars = true;
        let from = self.from.min(sequence.cars.len());
        let mut to = from + self.below(sequence.cars.len() + 1 - from);
        // Where cars stand whole, they stay so.
        if self.shop.problem.bays.is_some() {
            while to > 0 && to < sequence.cars.len() && sequence.cars[to - 1] == sequence.cars[to] {
                to -= 1;
            }
        }
        sequence
            .cars
            .splice(to..to, std::iter::repeat_n(car, mentions));
    }

    /// One mention, and so every later task of its car.
    fn move_mention(&mut self, sequence: &mut Sequence) {
        let (from, to) = (self.place(sequence), self.place(sequence));
        let car = sequence.cars.remove(from);
        sequence.cars.insert(to, car);
        self.cars = true;
    }

    /// Two mentions change places.
    fn swap_mentions(&mut self, sequence: &mut Sequence) {
        let (one, other) = (self.place(sequence), self.place(sequence));
        sequence.cars.swap(one, other);
        self.cars = true;
    }

    /// Two tasks of a stage change workers.
    fn swap_workers(&mut self, sequence: &mut Sequence, board: &Board<'_, '_>) {
        let one = board.kept_task(self.place(sequence));
        let mut other = board.kept_task(self.place(sequence));
        if self.below(2) == 0 {
            other = self.similar(one, sequence, board).unwrap_or(other);
        }
        let tasks = &self.shop.tasks;
        if tasks[one].stage.trade() != tasks[other].stage.trade() {
            return;
        }
        let place = |task: usize, worker: usize| {
            let mut able = tasks[task].able.iter();
            able.position(|able| able.worker == worker)
        };
        let (first, second) = (board.kept_worker(one), board.kept_worker(other));
        if let (Some(mine), Some(theirs)) = (place(one, second), place(other, first)) {
            sequence.who[one] = Some(mine);
            sequence.who[other] = Some(theirs);
            self.who.extend([one, other]);
        }
    }

    /// A task of the same trade and of somebody else that takes nearly, but not
    /// quite, as long: to change it levels the ends by a minute or two.
    fn similar(&mut self, one: usize, sequence: &Sequence, board: &Board<'_, '_>) -> Option<usize> {
        let trade = |task: usize| self.shop.tasks[task].stage.trade();
        let drawn = [(); DRAWN].map(|()| board.kept_task(self.place(sequence)));
        drawn
            .into_iter()
            .filter(|other| trade(*other) == trade(one))
            .filter(|other| board.kept_worker(*other) != board.kept_worker(one))
            .map(|other| {
                let least = |task: usize| self.shop.least(Some(task));
                ((least(other) - least(one)).abs(), other)
            })
            .filter(|(differs, _)| *differs > 0)
            .min_by_key(|(differs, _)| *differs)
            .map(|(_, other)| other)
    }

    fn move_panel(&mut self, sequence: &mut Sequence) {
        let at = self.place(sequence);
        let car = sequence.cars[at];
        let count = sequence.panels[car].len();
        if count < 2 {
            return;
        }
        let (from, to) = (self.below(count), self.below(count));
        let panels = &mut sequence.panels[car];
        let panel = panels.remove(from);
        panels.insert(to, panel);
        self.panels.push(car);
    }

    fn choose_worker(&mut self, sequence: &mut Sequence, board: &Board<'_, '_>) {
        let task = board.kept_task(self.place(sequence));
        let able = self.shop.tasks[task].able.len();
        if able < 2 {
            return;
        }
        // As often left to the earliest end as chosen.
        let chosen = self.below(2 * able);
        sequence.who[task] = (chosen < able).then_some(chosen);
        self.who.push(task);
    }
}
