// Solves networks in the plain form of README.md with the junction tree of
// bayesjs: node solve.js SECONDS FILE... writes one line of JSON for each.
'use strict';
const fs = require('fs');
const bayes = require('bayesjs');

const median = (of) => of.sort((a, b) => a - b)[of.length >> 1];
const cpu = () => { const u = process.cpuUsage(); return (u.user + u.system) / 1e6; };
const wall = () => performance.now() / 1e3;

function solve(name, seconds) {
  const words = fs.readFileSync(name, 'utf8').split(/\s+/).filter((w) => w).map(Number);
  const next = () => words.shift();
  const net = {};
  const nodes = next();
  for (let i = 0; i < nodes; i++) {
    const parents = Array.from({ length: next() }, () => `n${next()}`);
    const rows = Array.from({ length: 2 ** parents.length }, (_, row) => {
      const p = next();
      return { when: Object.fromEntries(parents.map((x, k) => [x, row >> k & 1 ? 'T' : 'F'])), then: { T: p, F: 1 - p } };
    });
    net[`n${i}`] = { id: `n${i}`, states: ['T', 'F'], parents, cpt: parents.length ? rows : rows[0].then };
  }
  const given = {};
  for (let i = next(); i > 0; i--) {
    const node = next();
    given[`n${node}`] = next() ? 'T' : 'F';
  }
  const asked = Array.from({ length: next() }, () => `n${next()}`);
  // The tree is remembered by network, what was passed through it by evidence.
  const query = () => {
    const seen = { ...given };
    return asked.map((id) => bayes.inferences.junctionTree.infer(net, { [id]: 'T' }, seen));
  };
  const start = cpu();
  let posterior = query();
  const first = cpu() - start;
  const times = [];
  const clock = [];
  for (const began = wall(); times.length === 0 || (wall() - began < seconds && times.length < 101);) {
    const c = cpu();
    const w = wall();
    posterior = query();
    times.push(cpu() - c);
    clock.push(wall() - w);
  }
  const CPU = median(times);
  const version = require('bayesjs/package.json').version;
  console.log(JSON.stringify({ Library: `bayesjs ${version}, junction tree, JavaScript`, File: name, Prepare: Math.max(0, first - CPU), CPU, Wall: median(clock), Queries: times.length, Faults: posterior }));
}

const [seconds, ...files] = process.argv.slice(2);
files.forEach((f) => solve(f, Number(seconds)));
