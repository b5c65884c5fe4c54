// Reads networks.json, turns each network into conditional probability tables
// straight from the definition in the package comment, and writes the posteriors
// that a general junction-tree library gives as JSON to standard output.
'use strict';
const fs = require('fs');
const path = require('path');
const bayes = require('bayesjs');

const clamp = (x) => Math.min(1, Math.max(0, x));

// node makes a node with one table row for each combination of its parents'
// states; row(states) gives the probabilities of the node's own states.
function node(net, id, states, parents, row) {
  const then = (p) => Object.fromEntries(states.map((s, i) => [s, p[i]]));
  if (parents.length === 0) {
    net[id] = { id, states, parents, cpt: then(row([])) };
    return;
  }
  const cpt = [];
  const walk = (chosen) => {
    if (chosen.length === parents.length) {
      const when = Object.fromEntries(parents.map((p, i) => [p, chosen[i]]));
      cpt.push({ when, then: then(row(chosen)) });
      return;
    }
    for (const s of net[parents[chosen.length]].states) walk([...chosen, s]);
  };
  walk([]);
  net[id] = { id, states, parents, cpt };
}

function build({ Model: m, Evidence: e }) {
  const net = {};
  const given = {};
  const list = (x) => x || [];
  m.Faults.forEach((f, i) => node(net, `f${i}`, ['T', 'F'], [], () => [f.Prior, 1 - f.Prior]));
  m.Conditions.forEach((c, k) => {
    c.Leaks.forEach((leak, s) => {
      const links = m.Links.filter((l) => l.Condition === k && l.State === s);
      const parents = [...new Set(links.map((l) => l.Fault))];
      node(net, `c${k}s${s}`, ['T', 'F'], parents.map((f) => `f${f}`), (on) => {
        let off = 1 - leak;
        for (const l of links) {
          if (on[parents.indexOf(l.Fault)] === 'T') off *= (1 - l.Strength) / (1 - leak);
        }
        return [1 - off, off];
      });
    });
    const values = ['none', ...c.Leaks.map((_, s) => `v${s}`)];
    node(net, `c${k}`, values, c.Leaks.map((_, s) => `c${k}s${s}`), (on) => {
      const caused = on.filter((x) => x === 'T').length;
      return [caused === 0 ? 1 : 0, ...on.map((x) => (x === 'T' ? 1 / caused : 0))];
    });
  });
  const seen = new Map(e.Seen.map((s) => [s.Finding, s.Likelihood]));
  m.Findings.forEach((f, i) => {
    if (!seen.has(i)) return; // barren
    const parents = new Set();
    for (const o of f.Outcomes) {
      list(o.States).forEach((s) => parents.add(`c${s.Condition}`));
      list(o.Faults).forEach((p) => parents.add(`f${p.Fault}`));
    }
    const names = [...parents];
    const states = [...f.Outcomes.map((_, j) => `o${j}`), 'none'];
    node(net, `d${i}`, states, names, (on) => {
      const is = Object.fromEntries(names.map((n, k) => [n, on[k]]));
      const p = f.Outcomes.map((o) => {
        let off = 1 - o.Leak;
        for (const s of list(o.States)) {
          if (is[`c${s.Condition}`] === `v${s.State}`) off *= (1 - s.Strength) / (1 - o.Leak);
        }
        for (const x of list(o.Faults)) {
          if (is[`f${x.Fault}`] === 'T') off *= (1 - x.Strength) / (1 - o.Leak);
        }
        return clamp(1 - off);
      });
      return [...p, Math.max(0, 1 - p.reduce((a, b) => a + b, 0))];
    });

    const likelihood = seen.get(i);
    const only = likelihood.findIndex((x) => x > 0);
    if (likelihood.filter((x) => x > 0).length === 1) {
      given[`d${i}`] = states[only];
      return;
    }
    // Virtual evidence: a child that is true as often as what was seen is likely.
    const most = Math.max(...likelihood);
    node(net, `e${i}`, ['T', 'F'], [`d${i}`], ([s]) => {
      const p = likelihood[states.indexOf(s)] / most;
      return [p, 1 - p];
    });
    given[`e${i}`] = 'T';
  });
  return { net, given };
}

function solve(network) {
  const { net, given } = build(network);
  const ask = (id, state) => bayes.inferences.junctionTree.infer(net, { [id]: state }, given);
  return {
    Name: network.Name,
    Faults: network.Model.Faults.map((_, i) => ask(`f${i}`, 'T')),
    States: network.Model.Conditions.map((c, k) => c.Leaks.map((_, s) => ask(`c${k}`, `v${s}`))),
  };
}

const networks = JSON.parse(fs.readFileSync(path.join(__dirname, 'networks.json')));
const version = require('bayesjs/package.json').version;
const out = {
  Made: { library: `bayesjs ${version}, junction tree`, node: process.version },
  Posteriors: networks.map(solve),
};
process.stdout.write(JSON.stringify(out, null, 1) + '\n');
