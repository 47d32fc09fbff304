//! Reading and setting cookies. Not here: what they mean (`visitor`, `access`).

use axum::http::header::{COOKIE, SET_COOKIE};
use axum::http::{HeaderMap, HeaderValue};
use axum::response::Response;

/// The longest that browsers keep a cookie.
const FOUR_HUNDRED_DAYS: u32 = 400 * 24 * 3600;

/// What a cookie of this name holds.
pub fn cookie(headers: &HeaderMap, name: &str) -> Option<String> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|header| header.to_str().ok())
        .flat_map(|header| header.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(found, _)| *found == name)
        .map(|(_, value)| value.to_owned())
}

/// Sets a cookie that scripts can't read and that other sites' posts don't carry.
pub fn set(response: &mut Response, name: &str, value: &str) {
    set_for(response, name, value, FOUR_HUNDRED_DAYS);
}

/// Takes a cookie away.
pub fn forget(response: &mut Response, name: &str) {
    set_for(response, name, "", 0);
}

fn set_for(response: &mut Response, name: &str, value: &str, seconds: u32) {
    let cookie = format!("{name}={value}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Lax");
    if let Ok(cookie) = HeaderValue::from_str(&cookie) {
        response.headers_mut().append(SET_COOKIE, cookie);
    }
}
