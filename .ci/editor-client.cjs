// Opens demo jobs as an editor does, through the protocol's own client library.
// usage: node editor-client.cjs PLUMBRULE FOLDER
'use strict';
const assert = require('node:assert/strict');
const { spawn } = require('node:child_process');
const { readFileSync } = require('node:fs');
const { pathToFileURL } = require('node:url');
const path = require('node:path');
const lsp = require('vscode-languageserver-protocol/node');

const [plumbrule, folder] = process.argv.slice(2);
const server = spawn(plumbrule, ['lsp'], { stdio: ['pipe', 'pipe', 'inherit'] });
const ended = new Promise((resolve) => server.on('exit', resolve));
const client = lsp.createProtocolConnection(new lsp.StreamMessageReader(server.stdout), new lsp.StreamMessageWriter(server.stdin));
setTimeout(() => { console.error('the server does not answer'); process.exit(1); }, 240_000).unref();

const shown = []; // everything that was shown, in order
const waiting = [];
client.onNotification(lsp.PublishDiagnosticsNotification.type, (p) => {
  const last = shown.filter((q) => q.uri === p.uri).at(-1);
  assert(!last || last.version === undefined || p.version === undefined || p.version >= last.version, `version ${p.version} after ${last?.version}`);
  shown.push(p);
  waiting.splice(0).forEach((look) => look());
});
client.onRequest(lsp.RegistrationRequest.type, () => {});
client.listen();

// A document of the client.
class Document {
  constructor(name) {
    this.uri = pathToFileURL(path.join(folder, name)).href;
    this.text = readFileSync(path.join(folder, name), 'utf8');
    this.version = 1;
    client.sendNotification(lsp.DidOpenTextDocumentNotification.type, { textDocument: { uri: this.uri, languageId: 'toml', version: 1, text: this.text } });
  }
  // position of the nth character of a text that stands once
  at(text, n = 0) {
    const parts = this.text.split(text);
    assert.equal(parts.length, 2, `"${text}" stands ${parts.length - 1} times`);
    const lines = (parts[0] + text.slice(0, n)).split('\n');
    return { line: lines.length - 1, character: lines.at(-1).length };
  }
  replace(text, now) {
    const range = { start: this.at(text), end: this.at(text, text.length) };
    this.text = this.text.replace(text, () => now);
    this.version++;
    client.sendNotification(lsp.DidChangeTextDocumentNotification.type, { textDocument: { uri: this.uri, version: this.version }, contentChanges: [{ range, text: now }] });
  }
  // diagnostics of the present text
  async diagnostics() {
    for (;;) {
      const now = shown.find((p) => p.uri === this.uri && p.version === this.version);
      if (now) return now.diagnostics;
      await new Promise((resolve) => waiting.push(resolve));
    }
  }
  ask(method, more = {}) {
    return client.sendRequest(method, { textDocument: { uri: this.uri }, ...more });
  }
}

const of = (list, code) => list.filter((d) => d.code === code);

async function main() {
  const began = await client.sendRequest(lsp.InitializeRequest.type, {
    processId: process.pid, rootUri: pathToFileURL(folder).href,
    capabilities: {
      general: { positionEncodings: ['utf-16'] },
      workspace: { didChangeWatchedFiles: { dynamicRegistration: true } },
      textDocument: {
        publishDiagnostics: { relatedInformation: true, versionSupport: true },
        hover: { contentFormat: ['markdown', 'plaintext'] },
        documentSymbol: { hierarchicalDocumentSymbolSupport: true },
        codeAction: { codeActionLiteralSupport: { codeActionKind: { valueSet: ['quickfix'] } } },
        rename: { prepareSupport: true },
      },
    },
  });
  assert.equal(began.serverInfo.name, 'plumbrule');
  assert.equal(began.capabilities.positionEncoding, 'utf-16');
  await client.sendNotification(lsp.InitializedNotification.type, {});

  // What is shown while a person types.
  const barn = new Document('barn-faulty.toml');
  const first = await barn.diagnostics();
  const feet = of(first, 'layout/fastener-on-rib-crest');
  assert.equal(feet.length, 1, 'one diagnostic for many feet');
  assert.match(feet[0].message, /^1\. correction: .*\n.* and 47 more:/);
  assert.equal(feet[0].severity, lsp.DiagnosticSeverity.Error);
  assert.equal(feet[0].source, 'plumbrule');
  assert(feet[0].relatedInformation.length > 0);
  const ibc = first.find((d) => d.data?.missing?.includes('adoption.ibc'));
  assert.deepEqual(ibc.range.start, barn.at('\n[adoption]', 1));
  barn.replace('record_low          = "-14 degF"', 'record_low          = "−14 °F');
  const broken = await barn.diagnostics();
  assert.equal(broken.length, 1);
  assert.match(broken[0].message, /not TOML/);
  assert.equal(broken[0].range.start.line, barn.at('\nrecord_low ', 1).line);
  barn.replace('"−14 °F', '"-14 degF"');
  assert.deepEqual(await barn.diagnostics(), first);
  barn.replace('"-14 degF"', '"-14 degE"');
  const unit = await barn.diagnostics();
  assert.equal(unit[0].data.path, 'site.record_low');
  for (let i = 0; i < 40; i++) barn.replace(i % 2 ? '"-14 degF"' : '"-14 degE"', i % 2 ? '"-14 degE"' : '"-14 degF"');
  barn.replace('"-14 degE"', '"-14 degF"');
  assert.deepEqual(await barn.diagnostics(), first);

  // What is shown of a file from a job that includes it, both as they are typed.
  const equipment = new Document('equipment.toml');
  assert.deepEqual(await equipment.diagnostics(), []);
  const house = new Document('house.toml');
  assert.deepEqual((await house.diagnostics()).filter((d) => d.severity === lsp.DiagnosticSeverity.Error), []);
  equipment.replace(equipment.text.match(/^voc .*$/m)[0], 'voc = "49 W"');
  assert.equal((await equipment.diagnostics()).length, 1);

  // Questions: method, parameters, what the answer must have; a line each.
  const questions = [
    ['hover', { position: barn.at('\nwind_speed          = "105', 3) }, (a) => assert.match(a.contents.value, /wind/i)],
    ['completion', { position: barn.at('exposure            = "C"', 24) }, (a) => assert.deepEqual(a.items.map((i) => i.label), ["B", "C", "D"])],
    ['definition', { position: barn.at('name              = "west"\nplane             = "south"', 50) }, (a) => assert.equal([a].flat()[0].uri, barn.uri)],
    ['references', { position: barn.at('[[array]]\nname              = "west"', 32), context: { includeDeclaration: true } }, (a) => assert(a.length > 1)],
    ['prepareRename', { position: barn.at('[[array]]\nname              = "west"', 32) }, (a) => assert.equal(a.placeholder, 'west')],
    ['rename', { position: barn.at('[[array]]\nname              = "west"', 32), newName: 'sunset' }, (a) => assert(a.changes[barn.uri].length > 1)],
    ['documentSymbol', {}, (a) => assert(a.some((s) => s.name.includes('site')))],
    ['codeAction', { range: ibc.range, context: { diagnostics: [ibc] } }, (a) => assert(a.some((f) => f.kind === 'quickfix' && f.edit))],
    ['documentHighlight', { position: barn.at('[[array]]\nname              = "west"', 32) }, (a) => assert(a.length > 1 && a.some((h) => h.kind === lsp.DocumentHighlightKind.Write))],
    ['foldingRange', {}, (a) => assert(a.length > 20 && a.some((r) => r.kind === 'comment'))],
    ['formatting', { options: { tabSize: 2, insertSpaces: true } }, (a) => assert(Array.isArray(a))],
  ];
  for (const [name, params, holds] of questions) {
    try {
      holds(await barn.ask(`textDocument/${name}`, params));
    } catch (e) {
      e.message = `${name}: ${e.message}`;
      throw e;
    }
  }
  await assert.rejects(barn.ask('textDocument/noSuchThing'), { code: lsp.ErrorCodes.MethodNotFound });

  await client.sendRequest(lsp.ShutdownRequest.type);
  await client.sendNotification(lsp.ExitNotification.type);
  assert.equal(await ended, 0);
  console.log(`one client from the registry: ${shown.length} lists of diagnostics in order, ${questions.length} questions answered`);
}

main().then(() => process.exit(0), (e) => { console.error(e); process.exit(1); });
