// Parses flowcharts with Mermaid's own parser and prints the boxes and lines it found, one JSON object a file.
// Run in a folder where `npm install mermaid jsdom` was done:  node mermaid_parse.mjs FILE...
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { join } from 'node:path';

const require = createRequire(join(process.cwd(), 'here.js'));
const { JSDOM } = require('jsdom');
const page = new JSDOM('');
globalThis.window = page.window;
globalThis.document = page.window.document;
const home = pathToFileURL(join(process.cwd(), 'node_modules/mermaid/dist/mermaid.core.mjs'));
const { default: mermaid } = await import(home);
mermaid.initialize({ startOnLoad: false });
for (const file of process.argv.slice(2)) {
  const found = await mermaid.mermaidAPI.getDiagramFromText(readFileSync(file, 'utf8'));
  const nodes = [...found.db.getVertices().values()].map((node) => [node.id, node.text]);
  const edges = found.db.getEdges().map((edge) => [edge.start, edge.end, edge.text]);
  console.log(JSON.stringify({ nodes, edges }));
}
