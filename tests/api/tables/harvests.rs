//! Tables of worm beds and heaps.

use super::{answered, assert_same, column, demo_table, reported};
use serde_json::json;

#[test]
fn the_worked_table_says_what_each_bed_and_heap_yields() {
    let table = answered("harvests", "", demo_table("harvests.csv"));
    let first = |name: &str| column(&table, name)[0].clone();
    let parts = ["in_place_L", "unfinished_L", "finished_L", "castings_L", "oversize_L", "stored_L"].map(first);
    assert_eq!(parts, ["750", "150", "600", "420", "180", "308"]);
    assert!(column(&table, "castings_L").iter().all(|litres| !litres.is_empty()), "{table}");
    assert_eq!(answered("harvests", "", table.as_str()), table);
    crate::demo_data::assert_kept("tables/harvests.csv", &table);
}

#[test]
fn a_table_of_beds_and_heaps_and_a_body_are_answered_alike() {
    let body = json!({
        "worm_beds": [
            {"name": "long bed", "ground": {"kind": "rectangle", "length": "3 m", "width": "1 m"}, "material_depth": "25 cm",
             "finished_share": "80 %", "sieve_yield": "70 %"},
            {"name": "round bed", "ground": {"kind": "circle", "diameter": "1.2 m"}, "material_depth": "20 cm", "finished_share": "90 %"}],
        "heaps": [
            {"name": "by the gate", "kind": "cone", "diameter": "2 m", "height": "80 cm"},
            {"name": "in the barn", "kind": "windrow", "length": "4 m", "width": "1.5 m", "height": "70 cm", "finished_share": "90 %",
             "sieve_yield": "80 %"}]
    });
    assert_same("harvests", "", (&demo_table("harvests.csv"), &body));
    let counted = "row,heap,count,capacity\nheap,counted,7,1 bucket\n";
    let body = json!({"containers": [{"name": "bucket", "capacity": "12 L"}], "worm_beds": [],
                      "heaps": [{"kind": "counted", "count": 7, "capacity": "1 bucket"}]});
    assert_same("harvests", "?container=bucket:12 L", (counted, &body));
}

#[test]
fn kinds_of_heaps_and_fields_that_do_not_fit_are_refused() {
    let table = "row,heap,length,width,height,material_depth,finished_share,count,capacity\n\
        heap,,1 m,1 m,1 m,,,,\n\
        heap,pyramid,,,1 m,,,,\n\
        pile,,,,,,,,\n\
        worm_bed,cone,2 m,1 m,,20 cm,80 %,,\n\
        heap,counted,,,,,,many,12 L\n";
    let found = reported("harvests", "", table);
    assert_eq!(
        found,
        ["2:2 missing_field", "3:2 unknown_kind", "4:1 unknown_value", "5:2 unknown_field", "6:8 bad_number"]
    );
    assert_eq!(reported("harvests", "", "row,heap\n"), ["1 exactly_one_of"]);
}
