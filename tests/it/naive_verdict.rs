//! How the second reader judges a torque: the rules of the reckoning in plain binary numbers, from the JSON of the tool
//! and of the torque. Written from the design's section on it, with no type and no function of the program.

use serde_json::Value;

fn number(value: &Value) -> Option<f64> {
    value.as_str().map(|text| text.parse().unwrap())
}

/// Newton metres of one of a unit.
fn factor(unit: &Value) -> f64 {
    match unit.as_str().unwrap() {
        "N.m" => 1.0,
        "cN.m" => 0.01,
        "lbf.in" => 0.112_984_829_027_616_7,
        "lbf.ft" => 1.355_817_948_331_400_4,
        other => panic!("unit {other}"),
    }
}

/// Limit of a class of ISO 6789-1, per cent (from memory): 6 up to 10 N.m, 4 above for rigid and electronic ones.
fn class_percent(tool: &Value) -> Option<f64> {
    let class = tool["class"].as_str()?;
    let small = number(&tool["range"]["max"]).unwrap() * factor(&tool["unit"]) <= 10.0;
    let known = ["I A", "I B", "I C", "I D", "I E", "II A", "II B", "II C", "II D", "II E", "II F", "II G"];
    let better = ["I B", "I C", "I E", "II A", "II B", "II C"];
    known.contains(&class).then_some(if !small && better.contains(&class) { 4.0 } else { 6.0 })
}

/// What a tool applies at a scale or reading, in its unit, and W there, per cent.
fn applied(tool: &Value, said: f64) -> (f64, Option<f64>) {
    let last = tool["calibrations"].as_array().and_then(|all| all.last());
    let points = last.and_then(|last| last["as_left"].as_array().or(last["as_found"].as_array()));
    let points: Vec<(f64, f64, Option<f64>)> = points
        .into_iter()
        .flatten()
        .map(|p| (number(&p["set"]).unwrap(), number(&p["reference"]).unwrap(), number(&p["w_percent"])))
        .collect();
    let (mut value, mut w) = (said, None);
    for two in points.windows(2) {
        if two[0].0 <= said && said <= two[1].0 {
            let part = (said - two[0].0) / (two[1].0 - two[0].0);
            value = two[0].1 + part * (two[1].1 - two[0].1);
            w = two[0].2.zip(two[1].2).map(|(low, high)| low + part * (high - low));
        }
    }
    if let (Some(lever), Some(more)) =
        (number(&tool["adapter"]["lever_mm"]), number(&tool["adapter"]["extension_mm"]))
    {
        value *= (lever + more) / lever;
    }
    (value, w)
}

/// Share of a normal of standard deviation u together with a rectangle of half-width a that lies within ± w.
fn share(w: f64, u: f64, a: f64) -> f64 {
    if a == 0.0 {
        return libm::erf(w / u / std::f64::consts::SQRT_2);
    }
    if u == 0.0 {
        return (w / a).min(1.0);
    }
    // the integral of the normal's distribution function
    let g = |z: f64| {
        let below = 0.5 * (1.0 + libm::erf(z / std::f64::consts::SQRT_2));
        z * below + (-z * z / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt()
    };
    u / a * (g((w + a) / u) - g((w - a) / u)) - 1.0
}

/// Half-width that covers 95.45 %; by halving.
fn guard_band(u: f64, a: f64) -> f64 {
    let wanted = libm::erf(std::f64::consts::SQRT_2);
    let (mut low, mut high) = (0.0, 3.0 * u + 2.0 * a);
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if share(middle, u, a) < wanted { low = middle } else { high = middle }
    }
    high
}

/// The verdict on a torque with a tool under a rule, by its word in the record. `within`: whether what was applied lies
/// within the limits, ends included, as compared exactly.
pub(crate) fn verdict(rule: &Value, tool: &Value, body: &Value, within: bool) -> &'static str {
    let result = &body["result"];
    let basis = body["limits"]["basis"].as_str().unwrap();
    let reading = &result["reading"];
    let (said, step) = match reading["value"].as_str() {
        Some(text) => {
            let decimals = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            (reading, Some(10_f64.powi(-i32::try_from(decimals).unwrap())))
        }
        None if *result == "clicked" => (&body["required"], None),
        None => return "not_judged",
    };
    match basis {
        "none" => return "not_judged",
        "single" => return "by_setting",
        _ => {}
    }
    if basis == "own_tolerance" || *rule == "simple_acceptance" {
        return if within { "pass" } else { "fail" };
    }
    let unit = factor(&tool["unit"]);
    let (value, w_percent) = applied(tool, number(&said["value"]).unwrap() * factor(&said["unit"]) / unit);
    let class = class_percent(tool);
    let (mut u, tool_part) = match (w_percent, class) {
        (Some(w), class) => (w / 200.0 * value, class.unwrap_or(0.0) / 200.0 * value),
        (None, Some(class)) => (0.0, class / 100.0 * value),
        (None, None) => return if within { "conditional_pass" } else { "fail" },
    };
    let own = number(&tool["graduation"]).unwrap_or(0.0);
    let coarse = step.filter(|step| *step > own * 1.000_001).unwrap_or(0.0) / 2.0;
    let (large, small) = (tool_part.max(coarse), tool_part.min(coarse));
    u = (u * u + small * small / 3.0).sqrt();
    let w = guard_band(u, large);
    let limit = |which: &str| Some(number(&body["limits"][which])? * factor(&body["limits"]["unit"]) / unit);
    let (lower, upper) = (limit("lower"), limit("upper"));
    let inside = |by: f64| {
        lower.is_none_or(|lower| value >= lower + by) && upper.is_none_or(|upper| value <= upper - by)
    };
    match (inside(w), within, inside(-w)) {
        (true, ..) => "pass",
        _ if *rule == "guarded_two_words" => "fail",
        (_, true, _) => "conditional_pass",
        (_, _, true) => "conditional_fail",
        _ => "fail",
    }
}
