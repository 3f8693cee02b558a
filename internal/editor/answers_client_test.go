package editor

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

// Every question is answered to a client, of a job that is reviewed and of what
// is typed after that.
func TestAnswersToAClient(t *testing.T) {
	c := connect(t, load)
	got := c.initialize(`{"textDocument":{"codeAction":{"codeActionLiteralSupport":{}},"documentSymbol":{"hierarchicalDocumentSymbolSupport":true}}}`)
	can := got.Capabilities
	if can.CompletionProvider == nil || !can.HoverProvider || !can.DefinitionProvider || !can.ReferencesProvider || can.RenameProvider == nil ||
		!can.SymbolProvider || can.CodeActionProvider == nil || !can.FormattingProvider || !can.FoldingProvider || !can.HighlightProvider {
		t.Errorf("%+v", can)
	}
	uri := c.demo("barn-faulty")
	found := c.of(uri)
	at := func(beginning string, character int, more string) string {
		return fmt.Sprintf(`{"textDocument":{"uri":%q},"position":{"line":%d,"character":%d}%s}`, uri, c.lineOf(uri, beginning), character, more)
	}
	var hover Hover
	c.must("textDocument/hover", at("record_low ", 3, ""), &hover)
	if !strings.Contains(hover.Contents.Value, "Checks that read it") {
		t.Errorf("%s", hover.Contents.Value)
	}
	var places []Location
	c.must("textDocument/definition", at("plane       = ", 17, ""), &places)
	if len(places) != 1 || places[0].URI != uri {
		t.Errorf("%v", places)
	}
	c.must("textDocument/references", at("plane       = ", 17, `,"context":{"includeDeclaration":true}`), &places)
	if len(places) < 3 {
		t.Errorf("%v", places)
	}
	var edit WorkspaceEdit
	c.must("textDocument/rename", at("plane       = ", 17, `,"newName":"°🏠"`), &edit)
	if len(edit.Changes[uri]) != len(places) {
		t.Errorf("%d places of the name, %d are changed", len(places), len(edit.Changes[uri]))
	}
	c.refused(-32600, "textDocument/rename", at("plane       = ", 17, `,"newName":"north"`))
	var outline []DocumentSymbol
	c.must("textDocument/documentSymbol", fmt.Sprintf(`{"textDocument":{"uri":%q}}`, uri), &outline)
	if len(outline) < 20 {
		t.Errorf("%d symbols", len(outline))
	}
	var edits []TextEdit
	c.must("textDocument/formatting", fmt.Sprintf(`{"textDocument":{"uri":%q},"options":{"tabSize":4,"insertSpaces":true}}`, uri), &edits)
	if len(edits) == 0 {
		t.Error("nothing is laid out")
	}
	var actions []CodeAction
	context, err := json.Marshal(with(found, missingCode))
	if err != nil {
		t.Fatal(err)
	}
	c.must("textDocument/codeAction", fmt.Sprintf(`{"textDocument":{"uri":%q},"range":{"start":{"line":0,"character":0},"end":{"line":0,"character":0}},"context":{"diagnostics":%s}}`, uri, context), &actions)
	if len(actions) == 0 || actions[0].Edit == nil {
		t.Errorf("%v", actions)
	}
	// What is half typed is completed, and a wrong key gets the right one.
	c.replace(uri, "exposure            = \"C\"", "exposure            = \"")
	var list CompletionList
	c.must("textDocument/completion", at("exposure ", 23, ""), &list)
	if len(list.Items) != 3 || list.Items[0].Label != "B" {
		t.Errorf("%v", list.Items)
	}
	c.replace(uri, "exposure            = \"", "exposre = \"C\"")
	var nearest string
	for range 5 {
		for _, x := range c.of(uri) {
			if x.Data != nil && x.Data.Nearest != "" {
				nearest = x.Data.Nearest
				context, err = json.Marshal([]Diagnostic{x})
			}
		}
		if nearest != "" {
			break
		}
	}
	if nearest != "exposure" || err != nil {
		t.Fatalf("the nearest key is %q, %v", nearest, err)
	}
	c.must("textDocument/codeAction", fmt.Sprintf(`{"textDocument":{"uri":%q},"range":{"start":{"line":0,"character":0},"end":{"line":0,"character":0}},"context":{"diagnostics":%s}}`, uri, context), &actions)
	if len(actions) == 0 || actions[0].Edit.Changes[uri][0].NewText != "exposure" {
		t.Errorf("%v", actions)
	}
}
