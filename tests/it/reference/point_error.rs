//! Errors of a tool at one calibration point.

use super::file::{exact, exact_list, rows, same};
use witnessmark::domain::reckon::point_error::{interval_percent, point_error};

/// Source: ISO 6789-2:2017 as described in the head of the file: definitions from memory, the three-term sum of W′
/// only partly confirmed by public certificates.
#[test]
fn readings_at_a_point_give_its_errors() {
    for row in rows("iso6789_point_error.csv") {
        let found = point_error(&exact(&row["X_a"]), &exact_list(&row["readings_X_r"])).unwrap();
        assert!(same(&found.mean_reference, &row["mean_X_r"]), "{row:?}");
        let each: Vec<&str> = row["a_s_i_percent"].split(';').collect();
        assert_eq!(found.each.len(), each.len(), "{row:?}");
        for (found, expected) in found.each.iter().zip(each) {
            assert!(same(found, expected), "{row:?}");
        }
        assert!(same(&found.mean, &row["a_s_mean_percent"]), "{row:?}");
        assert!(same(&found.of_mean, &row["a_s_of_mean_percent"]), "{row:?}");
        let interval = interval_percent(&found.mean, &exact(&row["b_ep_percent"]), &exact(&row["W_percent"]));
        assert!(same(&interval, &row["W_interval_percent"]), "{row:?}");
    }
}
