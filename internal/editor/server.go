package editor

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"log"
	"runtime/debug"
	"slices"
	"sync"

	"github.com/sourcegraph/jsonrpc2"

	"plumbrule/internal/codebook"
	"plumbrule/internal/table"
)

// Options are what a server needs of the program.
type Options struct {
	// Load reads the rules and the tables; it is asked once, beside the first
	// messages.
	Load func() (*codebook.Codebook, *table.Set, error)
	// Sheet writes the sheet of a check, in Markdown.
	Sheet   func(io.Writer, *codebook.Check) error
	Outside []string // folders from which jobs may read besides their own and those of the client
	Version string
	Log     io.Writer // for what the client is not told
}

// ErrNoShutdown is returned where a client went away without saying so.
var ErrNoShutdown = errors.New("the client ended the connection without a shutdown")

// Serve answers a client until it ends the session. The error is ErrNoShutdown
// where that was not done as the protocol asks.
func Serve(ctx context.Context, stream io.ReadWriteCloser, o Options) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s := &server{options: o, log: log.New(o.Log, "plumbrule: ", 0), running: map[jsonrpc2.ID]context.CancelFunc{},
		sheets: &sheets{write: o.Sheet}, roots: map[string]*root{}, sent: map[string]PublishDiagnostics{}, wake: make(chan struct{}, 1), out: newOutbox()}
	defer s.sheets.remove()
	conn := jsonrpc2.NewConn(ctx, jsonrpc2.NewBufferedStream(stream, codec{s.log}), s, jsonrpc2.SetLogger(s.log))
	<-conn.DisconnectNotify()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.state != ended {
		return ErrNoShutdown
	}
	return nil
}

// state is how far a session has come.
type state int

const (
	fresh state = iota
	opened
	ended // by shutdown
)

// codeNotInitialized and codeCancelled are errors of the protocol besides those
// of JSON-RPC.
const (
	codeNotInitialized = -32002
	codeCancelled      = -32800
)

// server is one session.
type server struct {
	options Options
	log     *log.Logger
	out     *outbox
	wake    chan struct{} // says that there is something to review
	sheets  *sheets

	prepared bool // the checks are compiled; of the reviewing goroutine alone

	mu        sync.Mutex
	state     state
	workspace *Workspace
	running   map[jsonrpc2.ID]context.CancelFunc // questions that are being answered
	waiting   []string                           // paths of documents to review, each once
	roots     map[string]*root                   // by path of the document
	sent      map[string]PublishDiagnostics      // what the client shows, by path
}

// Handle takes the messages one by one, in their order. Questions are answered
// beside that, each from the workspace at its turn.
func (s *server) Handle(ctx context.Context, conn *jsonrpc2.Conn, req *jsonrpc2.Request) {
	defer func() {
		if defect := recover(); defect != nil {
			s.log.Printf("defect: %s: %v\n%s", req.Method, defect, debug.Stack())
			s.fail(ctx, conn, req, refuse(jsonrpc2.CodeInternalError, "defect: %v", defect))
		}
	}()
	var raw json.RawMessage
	if req.Params != nil {
		raw = *req.Params
	}
	if req.Method == "exit" {
		conn.Close() // whose error could not be told to anybody
		return
	}
	if err := s.admit(req.Method); err != nil {
		s.fail(ctx, conn, req, err)
		return
	}
	switch answer := handlers[req.Method]; {
	case req.Method == "initialize":
		s.initialize(ctx, conn, req, raw)
	case req.Method == "shutdown":
		s.mu.Lock()
		s.state = ended
		s.mu.Unlock()
		s.reply(ctx, conn, req, nil, nil)
	case notices[req.Method] != nil:
		if err := notices[req.Method](s, raw); err != nil {
			s.fail(ctx, conn, req, err)
		}
	case req.Method == "initialized":
		s.watch(ctx, conn)
	case answer == nil:
		s.fail(ctx, conn, req, refuse(jsonrpc2.CodeMethodNotFound, "there is no method %q", req.Method))
	case !req.Notif:
		s.answer(ctx, conn, req, raw, answer)
	}
}

// notices takes what a client tells without a question.
var notices = map[string]func(s *server, raw json.RawMessage) error{
	"textDocument/didOpen":             (*server).didOpen,
	"textDocument/didChange":           (*server).didChange,
	"textDocument/didSave":             (*server).filesChanged, // on the disk, which other jobs may include
	"textDocument/didClose":            (*server).didClose,
	"workspace/didChangeWatchedFiles":  (*server).filesChanged,
	"$/cancelRequest":                  (*server).cancelRequest,
	"$/setTrace":                       ignored,
	"workspace/didChangeConfiguration": ignored,
}

func ignored(*server, json.RawMessage) error { return nil }

// admit refuses what may not be asked in this state of the session.
func (s *server) admit(method string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.state == fresh && method != "initialize":
		return refuse(codeNotInitialized, "%s before initialize", method)
	case s.state == opened && method == "initialize":
		return refuse(jsonrpc2.CodeInvalidRequest, "initialize a second time")
	case s.state == ended:
		return refuse(jsonrpc2.CodeInvalidRequest, "%s after shutdown", method)
	}
	return nil
}

// fail answers a question with an error, and notes that of a notice.
func (s *server) fail(ctx context.Context, conn *jsonrpc2.Conn, req *jsonrpc2.Request, err error) {
	if req.Notif {
		if len(req.Method) < 2 || req.Method[:2] != "$/" { // which may be ignored
			s.log.Printf("%s: %v", req.Method, err)
		}
		return
	}
	s.reply(ctx, conn, req, nil, err)
}

func (s *server) reply(ctx context.Context, conn *jsonrpc2.Conn, req *jsonrpc2.Request, result any, err error) {
	response := &jsonrpc2.Response{ID: req.ID}
	if err == nil {
		err = response.SetResult(result)
	}
	if err != nil {
		var told *jsonrpc2.Error
		if !errors.As(err, &told) {
			told = &jsonrpc2.Error{Code: jsonrpc2.CodeInternalError, Message: err.Error()}
		}
		response.Error, response.Result = told, nil
	}
	if err := conn.SendResponse(ctx, response); err != nil && !errors.Is(err, jsonrpc2.ErrClosed) {
		s.log.Printf("%s: %v", req.Method, err)
	}
}

func (s *server) initialize(ctx context.Context, conn *jsonrpc2.Conn, req *jsonrpc2.Request, raw json.RawMessage) {
	var params Initialize
	if err := decode(raw, &params); err != nil {
		s.fail(ctx, conn, req, err)
		return
	}
	w := newWorkspace(params.Capabilities)
	w.sheets = s.sheets
	w.allowed = slices.Clone(s.options.Outside)
	for _, uri := range params.folders() {
		if folder := pathOf(uri); folder != uri { // else it is no file
			w.allowed = append(w.allowed, folder)
		}
	}
	encoding := UTF16
	if slices.Contains(params.Capabilities.General.PositionEncodings, UTF8) {
		encoding, w.utf8 = UTF8, true
	}
	s.mu.Lock()
	s.state, s.workspace = opened, w
	s.mu.Unlock()
	can := ServerCapabilities{PositionEncoding: encoding, TextDocumentSync: SyncOptions{OpenClose: true, Change: ChangeByRange, Save: true}}
	provide(&can)
	s.reply(ctx, conn, req, Initialized{can, ServerInfo{sourceName, s.options.Version}}, nil)
	go s.out.run(ctx, func(p PublishDiagnostics) {
		if err := conn.Notify(ctx, "textDocument/publishDiagnostics", p); err != nil && !errors.Is(err, jsonrpc2.ErrClosed) {
			s.log.Printf("diagnostics: %v", err)
		}
	})
	go s.reviewAll(ctx)
}

// watch asks the client, where it can, to tell of files that change on the disk.
func (s *server) watch(ctx context.Context, conn *jsonrpc2.Conn) {
	if !s.now().Client.Workspace.DidChangeWatchedFiles.DynamicRegistration {
		return
	}
	ask := Registrations{[]Registration{{ID: "files", Method: "workspace/didChangeWatchedFiles",
		Options: WatchOptions{[]Watcher{{"**/*.toml"}, {"**/*.csv"}}}}}}
	go func() {
		if err := conn.Call(ctx, "client/registerCapability", ask, nil); err != nil && ctx.Err() == nil && !errors.Is(err, jsonrpc2.ErrClosed) {
			s.log.Printf("files are not watched: %v", err)
		}
	}()
}

// now is the workspace as it is.
func (s *server) now() *Workspace {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.workspace
}

// answer answers a question in the background. One that is withdrawn is
// answered at once; what comes of it later is dropped.
func (s *server) answer(ctx context.Context, conn *jsonrpc2.Conn, req *jsonrpc2.Request, raw json.RawMessage, h handler) {
	ctx, cancel := context.WithCancel(ctx)
	s.mu.Lock()
	w := s.workspace
	s.running[req.ID] = cancel
	s.mu.Unlock()
	type outcome struct {
		result any
		err    error
	}
	done := make(chan outcome, 1)
	go func() {
		defer func() {
			if defect := recover(); defect != nil {
				s.log.Printf("defect: %s: %v\n%s", req.Method, defect, debug.Stack())
				done <- outcome{nil, refuse(jsonrpc2.CodeInternalError, "defect: %v", defect)}
			}
		}()
		result, err := h(w, raw)
		done <- outcome{result, err}
	}()
	go func() {
		defer func() {
			s.mu.Lock()
			delete(s.running, req.ID)
			s.mu.Unlock()
			cancel()
		}()
		select {
		case o := <-done:
			s.reply(ctx, conn, req, o.result, o.err)
		case <-ctx.Done():
			s.fail(context.WithoutCancel(ctx), conn, req, refuse(codeCancelled, "withdrawn"))
		}
	}()
}

func (s *server) cancelRequest(raw json.RawMessage) error {
	var params cancel
	if err := decode(raw, &params); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if stop := s.running[params.ID]; stop != nil {
		stop()
	}
	return nil
}

// outbox sends diagnostics beside everything else, so that a client that reads
// slowly holds up nothing. Of a file only the latest wait.
type outbox struct {
	mu     sync.Mutex
	order  []string
	latest map[string]PublishDiagnostics
	filled chan struct{}
}

func newOutbox() *outbox {
	return &outbox{latest: map[string]PublishDiagnostics{}, filled: make(chan struct{}, 1)}
}

func (o *outbox) put(p PublishDiagnostics) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if _, waits := o.latest[p.URI]; !waits {
		o.order = append(o.order, p.URI)
	}
	o.latest[p.URI] = p
	signal(o.filled)
}

// signal fills a slot that is empty.
func signal(slot chan struct{}) {
	select {
	case slot <- struct{}{}:
	default:
	}
}

func (o *outbox) take() (p PublishDiagnostics, ok bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.order) == 0 {
		return p, false
	}
	uri := o.order[0]
	p = o.latest[uri]
	o.order = o.order[1:]
	delete(o.latest, uri)
	return p, true
}

func (o *outbox) run(ctx context.Context, send func(PublishDiagnostics)) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-o.filled:
		}
		for p, ok := o.take(); ok; p, ok = o.take() {
			send(p)
		}
	}
}
