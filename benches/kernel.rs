//! Speed of the kernel.
fn main() {
    divan::main();
}
