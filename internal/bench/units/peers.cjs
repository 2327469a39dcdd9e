// Times mathjs and js-quantities; prints nanoseconds as JSON for main.go.
const { createRequire } = require("module");
const fs = require("fs");
const path = require("path");
const load = createRequire(path.join(path.resolve(process.argv[2]), "x.js"));

const version = (name) =>
  JSON.parse(fs.readFileSync(path.join(process.argv[2], "node_modules", name, "package.json"))).version;

let sink;
function time(f) {
  let best = Infinity;
  for (let run = 0; run < 5; run++) {
    let n = 1000, ns = 0;
    for (;;) {
      const start = process.hrtime.bigint();
      for (let i = 0; i < n; i++) sink = f(i + 0.5);
      ns = Number(process.hrtime.bigint() - start);
      if (ns > 2e8) break;
      n *= 4;
    }
    best = Math.min(best, ns / n);
  }
  return best;
}

const math = load("mathjs");
const Qty = load("js-quantities");
const fast = Qty.swiftConverter("in", "m");
console.log(JSON.stringify([
  {
    Name: "mathjs " + version("mathjs"),
    Convert: time((n) => math.unit(n, "inch").toNumber("m")),
    Parse: time(() => math.unit("70 lb")),
  },
  {
    Name: "js-quantities " + version("js-quantities") + " (converter made once)",
    Convert: time((n) => fast(n)),
    Parse: time(() => Qty("70 lb")),
  },
]));
