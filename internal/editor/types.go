package editor

import "github.com/sourcegraph/jsonrpc2"

// The types of the Language Server Protocol 3.17 that the server and its
// clients exchange: only what is used, under the names of the protocol.

// TextDocument names a file that a question is about.
type TextDocument struct {
	URI string `json:"uri"`
}

// InDocument is what the parameters of a question about one file begin with.
type InDocument struct {
	TextDocument TextDocument `json:"textDocument"`
}

func (p InDocument) uri() string { return p.TextDocument.URI }

// AtPosition asks about a place of a file.
type AtPosition struct {
	InDocument
	Position Position `json:"position"`
}

// Location is a stretch of a file.
type Location struct {
	URI   string `json:"uri"`
	Range Range  `json:"range"`
}

// TextEdit puts a text in the place of a stretch.
type TextEdit struct {
	Range   Range  `json:"range"`
	NewText string `json:"newText"`
}

// WorkspaceEdit is edits of several files, by URI.
type WorkspaceEdit struct {
	Changes map[string][]TextEdit `json:"changes"`
}

// MarkupContent is text for people: Markdown, or plain for a client that does
// not show it.
type MarkupContent struct {
	Kind  string `json:"kind"`
	Value string `json:"value"`
}

// The kinds of MarkupContent.
const (
	Markdown  = "markdown"
	PlainText = "plaintext"
)

// Initialize opens a session.
type Initialize struct {
	Capabilities ClientCapabilities `json:"capabilities"`
	RootURI      string             `json:"rootUri"`
	Folders      []struct {
		URI string `json:"uri"`
	} `json:"workspaceFolders"`
}

// folders are those that the client has open.
func (i *Initialize) folders() []string {
	var out []string
	for _, f := range i.Folders {
		out = append(out, f.URI)
	}
	if len(out) == 0 && i.RootURI != "" {
		out = append(out, i.RootURI)
	}
	return out
}

// ClientCapabilities is what the server looks at of what a client can do.
type ClientCapabilities struct {
	General struct {
		PositionEncodings []string `json:"positionEncodings"`
	} `json:"general"`
	TextDocument struct {
		Completion struct {
			CompletionItem struct {
				SnippetSupport bool `json:"snippetSupport"`
			} `json:"completionItem"`
		} `json:"completion"`
		Hover struct {
			ContentFormat []string `json:"contentFormat"`
		} `json:"hover"`
		DocumentSymbol struct {
			Hierarchical bool `json:"hierarchicalDocumentSymbolSupport"`
		} `json:"documentSymbol"`
		CodeAction struct {
			Literal *struct{} `json:"codeActionLiteralSupport"`
		} `json:"codeAction"`
		Rename struct {
			PrepareSupport bool `json:"prepareSupport"`
		} `json:"rename"`
		PublishDiagnostics struct {
			RelatedInformation bool `json:"relatedInformation"`
		} `json:"publishDiagnostics"`
	} `json:"textDocument"`
	Workspace struct {
		DidChangeWatchedFiles struct {
			DynamicRegistration bool `json:"dynamicRegistration"`
		} `json:"didChangeWatchedFiles"`
	} `json:"workspace"`
}

// The encodings that positions may be counted in.
const (
	UTF8  = "utf-8"
	UTF16 = "utf-16"
)

// Initialized answers Initialize.
type Initialized struct {
	Capabilities ServerCapabilities `json:"capabilities"`
	ServerInfo   ServerInfo         `json:"serverInfo"`
}

// ServerInfo names the server.
type ServerInfo struct {
	Name    string `json:"name"`
	Version string `json:"version,omitempty"`
}

// ServerCapabilities is what the server can do.
type ServerCapabilities struct {
	PositionEncoding   string             `json:"positionEncoding"`
	TextDocumentSync   SyncOptions        `json:"textDocumentSync"`
	CompletionProvider *CompletionOptions `json:"completionProvider,omitempty"`
	HoverProvider      bool               `json:"hoverProvider,omitempty"`
	DefinitionProvider bool               `json:"definitionProvider,omitempty"`
	ReferencesProvider bool               `json:"referencesProvider,omitempty"`
	RenameProvider     *RenameOptions     `json:"renameProvider,omitempty"`
	SymbolProvider     bool               `json:"documentSymbolProvider,omitempty"`
	CodeActionProvider *CodeActionOptions `json:"codeActionProvider,omitempty"`
	FormattingProvider bool               `json:"documentFormattingProvider,omitempty"`
	FoldingProvider    bool               `json:"foldingRangeProvider,omitempty"`
	HighlightProvider  bool               `json:"documentHighlightProvider,omitempty"`
}

// SyncOptions says how a client tells what is typed.
type SyncOptions struct {
	OpenClose bool `json:"openClose"`
	Change    int  `json:"change"`
	Save      bool `json:"save"`
}

// ChangeByRange is SyncOptions.Change for changes that say what they replace.
const ChangeByRange = 2

// CompletionOptions says when completion is asked for besides at letters.
type CompletionOptions struct {
	TriggerCharacters []string `json:"triggerCharacters,omitempty"`
}

// RenameOptions says whether a rename can be prepared.
type RenameOptions struct {
	PrepareProvider bool `json:"prepareProvider"`
}

// CodeActionOptions lists the kinds of actions that are given.
type CodeActionOptions struct {
	Kinds []string `json:"codeActionKinds,omitempty"`
}

// DidOpen tells of a file that is shown; from then on its text is the client's.
type DidOpen struct {
	TextDocument struct {
		URI     string `json:"uri"`
		Version int    `json:"version"`
		Text    string `json:"text"`
	} `json:"textDocument"`
}

// DidChange tells of changes of a file, each of the text after the one before.
type DidChange struct {
	TextDocument struct {
		URI     string `json:"uri"`
		Version int    `json:"version"`
	} `json:"textDocument"`
	ContentChanges []ContentChange `json:"contentChanges"`
}

// ContentChange puts a text in the place of a stretch, or of the whole text
// where there is no range.
type ContentChange struct {
	Range *Range `json:"range,omitempty"`
	Text  string `json:"text"`
}

// PublishDiagnostics replaces what is shown of a file.
type PublishDiagnostics struct {
	URI         string       `json:"uri"`
	Version     *int         `json:"version,omitempty"` // of an open file
	Diagnostics []Diagnostic `json:"diagnostics"`
}

// Diagnostic is one thing to show at a place.
type Diagnostic struct {
	Range    Range     `json:"range"`
	Severity int       `json:"severity"`
	Code     string    `json:"code,omitempty"` // the check
	Source   string    `json:"source"`
	Message  string    `json:"message"`
	Related  []Related `json:"relatedInformation,omitempty"`
	Data     *Data     `json:"data,omitempty"`
}

// Severities of a Diagnostic.
const (
	SeverityError   = 1
	SeverityWarning = 2
	SeverityInfo    = 3
	SeverityHint    = 4
)

// Related is a further place that a diagnostic concerns.
type Related struct {
	Location Location `json:"location"`
	Message  string   `json:"message"`
}

// Data is what a quick fix needs of a diagnostic; the client sends it back.
type Data struct {
	Path    string   `json:"path,omitempty"`    // the key that a fault of reading is of, "array.1.rows"
	Nearest string   `json:"nearest,omitempty"` // the word that was probably meant
	Missing []string `json:"missing,omitempty"` // keys that the job leaves out, "array.south.rows"
}

// CompletionList is what may be typed at a place.
type CompletionList struct {
	IsIncomplete bool             `json:"isIncomplete"`
	Items        []CompletionItem `json:"items"`
}

// CompletionItem is one thing that may be typed.
type CompletionItem struct {
	Label            string         `json:"label"`
	Kind             int            `json:"kind,omitempty"`
	Detail           string         `json:"detail,omitempty"`
	Documentation    *MarkupContent `json:"documentation,omitempty"`
	SortText         string         `json:"sortText,omitempty"`
	FilterText       string         `json:"filterText,omitempty"`
	InsertTextFormat int            `json:"insertTextFormat,omitempty"`
	TextEdit         *TextEdit      `json:"textEdit,omitempty"`
}

// Kinds of completion items, and the format of one with places to fill in.
const (
	CompletionModule     = 9
	CompletionProperty   = 10
	CompletionUnit       = 11
	CompletionValue      = 12
	CompletionEnumMember = 20
	CompletionReference  = 18

	InsertSnippet = 2
)

// Hover is what is told of a place.
type Hover struct {
	Contents MarkupContent `json:"contents"`
	Range    *Range        `json:"range,omitempty"`
}

// ReferenceParams asks where a name is used.
type ReferenceParams struct {
	AtPosition
	Context struct {
		IncludeDeclaration bool `json:"includeDeclaration"`
	} `json:"context"`
}

// RenameParams asks for a name to be changed everywhere.
type RenameParams struct {
	AtPosition
	NewName string `json:"newName"`
}

// PrepareRename is the stretch that a rename would change.
type PrepareRename struct {
	Range       Range  `json:"range"`
	Placeholder string `json:"placeholder"`
}

// DocumentSymbol is a part of a file in its outline.
type DocumentSymbol struct {
	Name           string           `json:"name"`
	Detail         string           `json:"detail,omitempty"`
	Kind           int              `json:"kind"`
	Range          Range            `json:"range"`
	SelectionRange Range            `json:"selectionRange"`
	Children       []DocumentSymbol `json:"children,omitempty"`
}

// SymbolInformation is a part of a file for a client that shows no outline.
type SymbolInformation struct {
	Name          string   `json:"name"`
	Kind          int      `json:"kind"`
	Location      Location `json:"location"`
	ContainerName string   `json:"containerName,omitempty"`
}

// Kinds of symbols.
const (
	SymbolProperty = 7
	SymbolArray    = 18
	SymbolObject   = 19
)

// FoldingRange is lines that may be folded into the first of them.
type FoldingRange struct {
	StartLine int    `json:"startLine"`
	EndLine   int    `json:"endLine"`
	Kind      string `json:"kind,omitempty"`
}

// FoldComment is the kind of a FoldingRange of comments.
const FoldComment = "comment"

// DocumentHighlight is a place that belongs to the one at the cursor.
type DocumentHighlight struct {
	Range Range `json:"range"`
	Kind  int   `json:"kind"`
}

// Kinds of a DocumentHighlight: where a name is used, and where it is given.
const (
	HighlightRead  = 2
	HighlightWrite = 3
)

// CodeActionParams asks what can be done about a stretch.
type CodeActionParams struct {
	InDocument
	Range   Range `json:"range"`
	Context struct {
		Diagnostics []Diagnostic `json:"diagnostics"`
		Only        []string     `json:"only"`
	} `json:"context"`
}

// QuickFix is the kind of an action that answers a diagnostic.
const QuickFix = "quickfix"

// CodeAction is something that can be done.
type CodeAction struct {
	Title       string         `json:"title"`
	Kind        string         `json:"kind,omitempty"`
	Diagnostics []Diagnostic   `json:"diagnostics,omitempty"`
	IsPreferred bool           `json:"isPreferred,omitempty"`
	Edit        *WorkspaceEdit `json:"edit,omitempty"`
}

// FormattingParams asks for a file to be laid out.
type FormattingParams struct {
	InDocument
	Options struct {
		TabSize      int  `json:"tabSize"`
		InsertSpaces bool `json:"insertSpaces"`
	} `json:"options"`
}

// Registration asks a client to tell of something.
type Registration struct {
	ID      string `json:"id"`
	Method  string `json:"method"`
	Options any    `json:"registerOptions"`
}

// Registrations are several of them.
type Registrations struct {
	Registrations []Registration `json:"registrations"`
}

// WatchOptions are the files that a client watches.
type WatchOptions struct {
	Watchers []Watcher `json:"watchers"`
}

// Watcher is a pattern of files.
type Watcher struct {
	GlobPattern string `json:"globPattern"`
}

// cancel withdraws a request. Its ID is a number or a text.
type cancel struct {
	ID jsonrpc2.ID `json:"id"`
}
