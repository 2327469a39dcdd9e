// Writes internal/strictjson/testdata/ecmascript.txt: doubles by their bits and as
// ECMAScript writes them. Run: node numbers.js > ../../strictjson/testdata/ecmascript.txt
const view = new DataView(new ArrayBuffer(8));
let state = 0x9e3779b97f4a7c15n;
function next() { // xorshift64
  state ^= (state << 13n) & 0xffffffffffffffffn;
  state ^= state >> 7n;
  state ^= (state << 17n) & 0xffffffffffffffffn;
  return state;
}
function row(bits) {
  view.setBigUint64(0, bits);
  const v = view.getFloat64(0);
  if (Number.isFinite(v)) console.log(bits.toString(16).padStart(16, "0") + " " + JSON.stringify(v));
}
console.log("# bits, and the text of JSON.stringify, by node " + process.version);
for (let i = 0; i < 1500; i++) row(next());
// Numbers of the usual size, and those about the ends of plain notation.
for (let i = 0; i < 1500; i++) {
  const v = (Number(next() >> 11n) / 2 ** 53) * 10 ** (Number(next() % 32n) - 9);
  view.setFloat64(0, v);
  row(view.getBigUint64(0));
}
for (let e = -324; e <= 308; e++) {
  for (const d of [-1n, 0n, 1n]) {
    view.setFloat64(0, Number("1e" + e));
    row(view.getBigUint64(0) + d < 0n ? 0n : view.getBigUint64(0) + d);
  }
}
