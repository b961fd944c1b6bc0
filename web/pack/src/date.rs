//! A date in words.

use std::time::{SystemTime, UNIX_EPOCH};

const MONTHS: [&str; 12] =
    ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];

/// "27 November 2026", in Universal Time; empty before 1970.
pub fn in_words(time: SystemTime) -> String {
    let Ok(since) = time.duration_since(UNIX_EPOCH) else { return String::new() };
    let [day, month, year] = civil(since.as_secs() / 86_400);
    format!("{day} {} {year}", MONTHS[month as usize - 1])
}

/// Day, month and year of a number of days since 1 January 1970.
fn civil(mut days: u64) -> [u64; 3] {
    let leap = |y: u64| y.is_multiple_of(4) && (!y.is_multiple_of(100) || y.is_multiple_of(400));
    // 400 years have as many days, whichever they are; the loop is left short.
    let mut year = 1970 + days / 146_097 * 400;
    days %= 146_097;
    while days >= 365 + u64::from(leap(year)) {
        days -= 365 + u64::from(leap(year));
        year += 1;
    }
    for month in 1..=12 {
        let length = match month {
            2 => 28 + u64::from(leap(year)),
            4 | 6 | 9 | 11 => 30,
            _ => 31,
        };
        if days < length {
            return [days + 1, month, year];
        }
        days -= length;
    }
    [31, 12, year]
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    /// Seconds as `date -u -d @N` tells them.
    #[test]
    fn seconds_become_days() {
        for (seconds, words) in [
            (0, "1 January 1970"),
            (951_782_400, "29 February 2000"),
            (951_868_800, "1 March 2000"),
            (1_735_689_599, "31 December 2024"),
            (1_795_790_000, "27 November 2026"),
            (4_107_542_400, "1 March 2100"),
            (32_503_680_000, "1 January 3000"),
        ] {
            assert_eq!(in_words(UNIX_EPOCH + Duration::from_secs(seconds)), words);
        }
    }
}
