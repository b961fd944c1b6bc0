//! The alphabets that `\P.\` chooses among: parts 1 to 9 of ISO 8859.

/// The character that part `1 + alphabet` of ISO 8859 has at byte 128 + `low`, `low` being below 128; U+FFFD where it
/// has none. Bytes 128 to 159 are control characters in all parts. ISO 10303-21:2016, 6.4.3.3.
pub(super) fn character(alphabet: usize, low: u8) -> char {
    let byte = low | 0x80;
    let table = alphabet.checked_sub(1).and_then(|i| UPPER.get(i));
    match table {
        Some(table) if byte >= 0xa0 => table.chars().nth(usize::from(byte - 0xa0)).unwrap_or(char::REPLACEMENT_CHARACTER),
        // The first part is the beginning of Unicode, as are the control characters.
        _ => char::from(byte),
    }
}

/// Bytes 160 to 255 of parts 2 to 9, from the Unicode Consortium's mapping tables for ISO 8859.
const UPPER: [&str; 8] = [
    // Part 2.
    "\u{a0}Ą˘Ł¤ĽŚ§¨ŠŞŤŹ\u{ad}ŽŻ°ą˛ł´ľśˇ¸šşťź˝žżŔÁÂĂÄĹĆÇČÉĘËĚÍÎĎĐŃŇÓÔŐÖ×ŘŮÚŰÜÝŢßŕáâăäĺćçčéęëěíîďđńňóôőö÷řůúűüýţ˙",
    // Part 3.
    "\u{a0}Ħ˘£¤\u{fffd}Ĥ§¨İŞĞĴ\u{ad}\u{fffd}Ż°ħ²³´µĥ·¸ışğĵ½\u{fffd}żÀÁÂ\u{fffd}ÄĊĈÇÈÉÊËÌÍÎÏ\u{fffd}ÑÒÓÔĠÖ×ĜÙÚÛÜŬŜßàáâ\u{fffd}äċĉçèéêëìíîï\u{fffd}ñòóôġö÷ĝùúûüŭŝ˙",
    // Part 4.
    "\u{a0}ĄĸŖ¤ĨĻ§¨ŠĒĢŦ\u{ad}Ž¯°ą˛ŗ´ĩļˇ¸šēģŧŊžŋĀÁÂÃÄÅÆĮČÉĘËĖÍÎĪĐŅŌĶÔÕÖ×ØŲÚÛÜŨŪßāáâãäåæįčéęëėíîīđņōķôõö÷øųúûüũū˙",
    // Part 5.
    "\u{a0}ЁЂЃЄЅІЇЈЉЊЋЌ\u{ad}ЎЏАБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯабвгдежзийклмнопрстуфхцчшщъыьэюя№ёђѓєѕіїјљњћќ§ўџ",
    // Part 6.
    "\u{a0}\u{fffd}\u{fffd}\u{fffd}¤\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{60c}\u{ad}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{61b}\u{fffd}\u{fffd}\u{fffd}\u{61f}\u{fffd}\u{621}\u{622}\u{623}\u{624}\u{625}\u{626}\u{627}\u{628}\u{629}\u{62a}\u{62b}\u{62c}\u{62d}\u{62e}\u{62f}\u{630}\u{631}\u{632}\u{633}\u{634}\u{635}\u{636}\u{637}\u{638}\u{639}\u{63a}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{640}\u{641}\u{642}\u{643}\u{644}\u{645}\u{646}\u{647}\u{648}\u{649}\u{64a}\u{64b}\u{64c}\u{64d}\u{64e}\u{64f}\u{650}\u{651}\u{652}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}",
    // Part 7.
    "\u{a0}‘’£€₯¦§¨©ͺ«¬\u{ad}\u{fffd}―°±²³΄΅Ά·ΈΉΊ»Ό½ΎΏΐΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡ\u{fffd}ΣΤΥΦΧΨΩΪΫάέήίΰαβγδεζηθικλμνξοπρςστυφχψωϊϋόύώ\u{fffd}",
    // Part 8.
    "\u{a0}\u{fffd}¢£¤¥¦§¨©×«¬\u{ad}®¯°±²³´µ¶·¸¹÷»¼½¾\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}‗\u{5d0}\u{5d1}\u{5d2}\u{5d3}\u{5d4}\u{5d5}\u{5d6}\u{5d7}\u{5d8}\u{5d9}\u{5da}\u{5db}\u{5dc}\u{5dd}\u{5de}\u{5df}\u{5e0}\u{5e1}\u{5e2}\u{5e3}\u{5e4}\u{5e5}\u{5e6}\u{5e7}\u{5e8}\u{5e9}\u{5ea}\u{fffd}\u{fffd}\u{200e}\u{200f}\u{fffd}",
    // Part 9.
    "\u{a0}¡¢£¤¥¦§¨©ª«¬\u{ad}®¯°±²³´µ¶·¸¹º»¼½¾¿ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏĞÑÒÓÔÕÖ×ØÙÚÛÜİŞßàáâãäåæçèéêëìíîïğñòóôõö÷øùúûüışÿ",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_has_96_characters_where_they_are_known_to_be() {
        assert!(UPPER.iter().all(|t| t.chars().count() == 96));
        for (alphabet, byte, want) in [
            (0, 0xe9, 'é'),
            (1, 0xb3, 'ł'),
            (2, 0xa1, 'Ħ'),
            (3, 0xe0, 'ā'),
            (4, 0xb6, 'Ж'),
            (5, 0xc7, 'ا'),
            (6, 0xf9, 'ω'),
            (7, 0xe0, 'א'),
            (8, 0xfd, 'ı'),
        ] {
            assert_eq!(character(alphabet, byte & 0x7f), want);
        }
        assert_eq!((character(5, 0x21), character(3, 0x05), character(40, 0x69)), (char::REPLACEMENT_CHARACTER, '\u{85}', 'é'));
    }
}
