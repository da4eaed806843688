use super::respond;

#[test]
fn a_visit_in_and_a_report_out() {
    let visit = include_str!("../../examples/visits/level_unknown_burlington.toml");
    let request = serde_json::json!({ "ask": "screen", "visit": visit, "quick": true }).to_string();
    let answer: serde_json::Value = serde_json::from_str(&respond(&request)).unwrap();
    assert_eq!(answer["report"]["place"]["station_id"], "USW00014742");
    assert!(answer["text"].as_str().unwrap().contains("VERDICT"));
}

#[test]
fn wrong_requests_are_answered() {
    for request in [
        "",
        "{}",
        "[1]",
        "{\"ask\":\"price\"}",
        "{\"ask\":\"screen\",\"visit\":\"\"}",
    ] {
        let answer: serde_json::Value = serde_json::from_str(&respond(request)).unwrap();
        assert!(answer["error"].is_string(), "{request}: {answer}");
    }
}
