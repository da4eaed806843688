//! The plain functions of the module; a page holds one request and one answer at a time.

/// Room for `length` bytes of a request.
#[unsafe(no_mangle)]
extern "C" fn take_room(length: usize) -> *mut u8 {
    let mut room = std::mem::ManuallyDrop::new(vec![0_u8; length]);
    room.as_mut_ptr()
}

/// Gives room back that was taken, or an answer that was read.
///
/// # Safety
///
/// `at` and `length` are those of [`take_room`] or of an answer, each given back once.
#[unsafe(no_mangle)]
unsafe extern "C" fn give_room(at: *mut u8, length: usize) {
    // SAFETY: the caller keeps the promise above; capacity equals length in both.
    drop(unsafe { Vec::from_raw_parts(at, length, length) });
}

/// Answers the request; place and length of the answer come packed, place above.
///
/// # Safety
///
/// `at` and `length` are those of [`take_room`], filled with UTF-8; the room is used up.
#[unsafe(no_mangle)]
unsafe extern "C" fn respond(at: *mut u8, length: usize) -> u64 {
    // SAFETY: the caller keeps the promise above.
    let bytes = unsafe { Vec::from_raw_parts(at, length, length) };
    let answer = crate::web::respond(&String::from_utf8_lossy(&bytes))
        .into_bytes()
        .into_boxed_slice();
    let length = answer.len() as u64;
    let place = Box::into_raw(answer).cast::<u8>() as u64;
    (place << 32) | length
}
