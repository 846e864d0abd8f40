//! A zip archive without compression, so that changes reach the reader of what is packed, not only the one of archives.
//!
//! # Source
//! PKWARE, APPNOTE.TXT, ".ZIP File Format Specification" 6.3 (from memory); read back by the readers under test.

/// The archive that holds `entries`, name and content.
pub(crate) fn packed(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let (mut archive, mut directory) = (Vec::new(), Vec::new());
    for (name, content) in entries {
        let offset = length(archive.len());
        let mut about = Vec::new();
        about.extend([20, 0, 0, 0, 0, 0, 0, 0, 0x21, 0x5b]);
        about.extend(crc(content).to_le_bytes());
        about.extend(length(content.len()));
        about.extend(length(content.len()));
        about.extend(&length(name.len())[..2]);
        about.extend([0, 0]);
        archive.extend(b"PK\x03\x04");
        archive.extend(&about);
        archive.extend(name.as_bytes());
        archive.extend(*content);
        directory.extend(b"PK\x01\x02\x14\0");
        directory.extend(&about);
        directory.extend([0; 10]);
        directory.extend(offset);
        directory.extend(name.as_bytes());
    }
    let (start, count) = (length(archive.len()), length(entries.len()));
    archive.extend(&directory);
    archive.extend(b"PK\x05\x06\0\0\0\0");
    archive.extend(&count[..2]);
    archive.extend(&count[..2]);
    archive.extend(length(directory.len()));
    archive.extend(start);
    archive.extend([0, 0]);
    archive
}

fn length(long: usize) -> [u8; 4] {
    u32::try_from(long).unwrap_or(u32::MAX).to_le_bytes()
}

fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            (crc >> 1) ^ (0xedb8_8320 & (crc & 1).wrapping_neg())
        })
    })
}
