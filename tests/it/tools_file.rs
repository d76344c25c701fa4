//! Tools files.

#[test]
fn try_it() {
    let read = witnessmark::tools_file::read(witnessmark::tools_file::example().as_bytes(), None);
    let read = read
        .map_err(|p| witnessmark::tools_file::render(&p, "tools.ron", witnessmark::tools_file::example()))
        .unwrap_or_else(|p| panic!("{p}"));
    println!(
        "{}",
        witnessmark::tools_file::render_warnings(
            &read.warnings,
            "tools.ron",
            witnessmark::tools_file::example()
        )
    );
    println!("{}", witnessmark::tools_file::write(&read.toolbox, &read.head));
    let again = witnessmark::tools_file::read(
        witnessmark::tools_file::write(&read.toolbox, &read.head).as_bytes(),
        None,
    )
    .unwrap();
    assert_eq!(again.toolbox, read.toolbox);
}
