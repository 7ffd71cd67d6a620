//! A check number over bytes, to tell whether a file is still the one it was.

/// CRC-32 as in ISO/IEC 21320-1 packages (polynomial 0x04C11DB7, reflected, inverted before and after).
///
/// ```
/// // The published check value of this CRC.
/// assert_eq!(beadwise::source::crc32(b"123456789"), 0xcbf4_3926);
/// ```
#[must_use]
pub fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |crc, &byte| {
        let index = (crc ^ u32::from(byte)) & 0xff;
        (crc >> 8) ^ TABLE.get(index as usize).copied().unwrap_or_default()
    })
}

/// What each byte does to the remainder; worked out while compiling, so that an index cannot fail later.
#[allow(clippy::indexing_slicing)]
const TABLE: [u32; 256] = {
    let mut table = [0; 256];
    let mut byte = 0;
    while byte < 256 {
        let mut crc = byte as u32;
        let mut bit = 0;
        while bit < 8 {
            crc = if crc & 1 == 1 { (crc >> 1) ^ 0xedb8_8320 } else { crc >> 1 };
            bit += 1;
        }
        table[byte] = crc;
        byte += 1;
    }
    table
};
