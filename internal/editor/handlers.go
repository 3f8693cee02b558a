package editor

import (
	"encoding/json"
	"fmt"

	"github.com/sourcegraph/jsonrpc2"
)

// handlers answers the questions about open documents, by method. They are
// asked side by side and see one Workspace each.
var handlers = map[string]handler{
	"textDocument/completion":        about(complete),
	"textDocument/hover":             about(hover),
	"textDocument/definition":        about(definition),
	"textDocument/references":        about(references),
	"textDocument/documentHighlight": about(highlights),
	"textDocument/prepareRename":     about(prepareRename),
	"textDocument/rename":            about(rename),
	"textDocument/codeAction":        about(fixes),
	"textDocument/documentSymbol":    about(symbols),
	"textDocument/foldingRange":      about(folding),
	"textDocument/formatting":        about(layout),
}

// provide adds to what the server can do what the handlers answer.
func provide(c *ServerCapabilities) {
	c.CompletionProvider = &CompletionOptions{TriggerCharacters: []string{"[", ".", "=", "\"", " "}}
	c.HoverProvider, c.DefinitionProvider, c.ReferencesProvider = true, true, true
	c.RenameProvider = &RenameOptions{PrepareProvider: true}
	c.CodeActionProvider = &CodeActionOptions{Kinds: []string{QuickFix}}
	c.SymbolProvider, c.FoldingProvider, c.HighlightProvider, c.FormattingProvider = true, true, true, true
}

// handler answers a question.
type handler func(w *Workspace, params json.RawMessage) (any, error)

// about makes a handler of a function that answers a question about an open
// document. A question about another is refused.
func about[P interface{ uri() string }, R any](answer func(w *Workspace, d *Document, params P) (R, error)) handler {
	return func(w *Workspace, raw json.RawMessage) (any, error) {
		var params P
		if err := decode(raw, &params); err != nil {
			return nil, err
		}
		d := w.Document(params.uri())
		if d == nil {
			return nil, refuse(jsonrpc2.CodeInvalidParams, "%q is not open", params.uri())
		}
		return answer(w, d, params)
	}
}

// decode reads the parameters of a message.
func decode(raw json.RawMessage, into any) error {
	if len(raw) == 0 || string(raw) == "null" {
		return refuse(jsonrpc2.CodeInvalidParams, "parameters are expected")
	}
	if err := json.Unmarshal(raw, into); err != nil {
		return refuse(jsonrpc2.CodeInvalidParams, "parameters: %v", err)
	}
	return nil
}

// refuse is an error with a code of the protocol.
func refuse(code int64, format string, a ...any) error {
	return &jsonrpc2.Error{Code: code, Message: fmt.Sprintf(format, a...)}
}
