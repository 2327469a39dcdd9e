package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"mime"
	"net"
	"net/http"
	"os"
	"runtime/debug"
	"time"
)

// limits bounds the resources of requests. Bodies that are still arriving take at most
// connections times body bytes.
type limits struct {
	connections int           // that are open at a time
	body        int64         // bytes of a body
	header      time.Duration // to receive the header of a request
	read        time.Duration // to receive a whole request
	write       time.Duration // to answer it
	idle        time.Duration // between two requests of a connection
	busy        int           // requests that are worked on at a time
	shutdown    time.Duration // to finish what was begun when told to stop
}

var defaultLimits = limits{
	connections: 256, body: 256 << 10, busy: 64,
	header: 5 * time.Second, read: 10 * time.Second, write: 20 * time.Second, idle: 15 * time.Second, shutdown: 10 * time.Second,
}

// answer computes an operation from a body: it returns a value for the response, or the
// problem with the body. It keeps nothing.
type answer func(ctx context.Context, body []byte) (any, *problem)

// newHandler returns the service: its operations, its description and its
// health, inside the limits, for requests to this host. The name is another
// name of the host, or empty; the page is that for phones, or nil.
func newHandler(lim limits, name string, page []byte, log *slog.Logger) http.Handler {
	mux := http.NewServeMux()
	for _, op := range operations {
		mux.Handle(op.path, lim.operation(op.answer))
	}
	description := openAPI()
	mux.HandleFunc("/openapi.json", get(func(w http.ResponseWriter, _ *http.Request) {
		writeJSON(w, http.StatusOK, "application/json", description)
	}))
	mux.HandleFunc("/health", get(func(w http.ResponseWriter, _ *http.Request) {
		writeJSON(w, http.StatusOK, "application/json", health{Status: "ok"})
	}))
	mux.HandleFunc("/yard", get(servePage(page)))
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		newProblem(http.StatusNotFound, "see /openapi.json for the operations of this service").write(w)
	})
	return guarded(mux, hostCheck(name, mux), log)
}

type health struct {
	Status string `json:"status"`
}

// get answers GET and HEAD, and refuses other methods.
func get(f func(http.ResponseWriter, *http.Request)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			newProblem(http.StatusMethodNotAllowed, "use GET").write(w)
			return
		}
		f(w, r)
	}
}

// operation reads a JSON body within the limits and answers it. A request has a place only
// while its answer is computed, so a client that sends or receives slowly does not block
// others.
func (lim limits) operation(f answer) http.Handler {
	places := make(chan struct{}, lim.busy)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodPost {
			w.Header().Set("Allow", "POST")
			newProblem(http.StatusMethodNotAllowed, "use POST").write(w)
			return
		}
		if t, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || t != "application/json" {
			w.Header().Set("Accept-Post", "application/json")
			newProblem(http.StatusUnsupportedMediaType, "the body must be application/json").write(w)
			return
		}
		body, bad := lim.readBody(w, r)
		if bad != nil {
			bad.write(w)
			return
		}
		// The time to answer begins when the whole body has arrived.
		http.NewResponseController(w).SetWriteDeadline(time.Now().Add(lim.write))
		select {
		case places <- struct{}{}:
		default:
			w.Header().Set("Retry-After", "1")
			newProblem(http.StatusServiceUnavailable, "too many requests at a time").write(w)
			return
		}
		result, bad := inPlace(places, func() (any, *problem) {
			ctx, cancel := context.WithTimeout(r.Context(), lim.write/2)
			defer cancel()
			return f(ctx, body)
		})
		if bad != nil {
			bad.write(w)
			return
		}
		writeJSON(w, http.StatusOK, "application/json", result)
	})
}

// inPlace does the work in a place, and frees the place when the work is done or panics.
func inPlace(places <-chan struct{}, work func() (any, *problem)) (any, *problem) {
	defer func() { <-places }()
	return work()
}

// readBody reads a whole body within the limits.
func (lim limits) readBody(w http.ResponseWriter, r *http.Request) ([]byte, *problem) {
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, lim.body))
	var large *http.MaxBytesError
	switch {
	case err == nil:
		return body, nil
	case errors.As(err, &large):
		return nil, newProblem(http.StatusRequestEntityTooLarge, fmt.Sprintf("the body must be at most %d bytes", lim.body))
	case errors.Is(err, os.ErrDeadlineExceeded):
		return nil, newProblem(http.StatusRequestTimeout, "the body did not arrive in time")
	}
	return nil, newProblem(http.StatusBadRequest, "the body is not framed by the rules of HTTP, or ends too early")
}

// guarded logs every request and turns a panic into a problem. The log has
// the pattern that matched, never the address, the body or the caller.
func guarded(mux *http.ServeMux, next http.Handler, log *slog.Logger) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start := time.Now()
		c := &counter{ResponseWriter: w}
		_, pattern := mux.Handler(r)
		defer func() {
			if p := recover(); p != nil {
				log.Error("panic", "route", pattern, "value", fmt.Sprintf("%T", p), "stack", string(debug.Stack()))
				if c.status == 0 {
					newProblem(http.StatusInternalServerError, "").write(c)
				}
			}
			log.Info("request", "method", knownMethod(r.Method), "route", pattern, "status", c.status, "bytes", c.bytes, "microseconds", time.Since(start).Microseconds())
		}()
		next.ServeHTTP(c, r)
	})
}

// knownMethod keeps invented methods out of the log.
func knownMethod(m string) string {
	switch m {
	case http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete, http.MethodOptions:
		return m
	}
	return "other"
}

// counter records the status and the size of a response.
type counter struct {
	http.ResponseWriter
	status int
	bytes  int64
}

func (c *counter) WriteHeader(status int) {
	if c.status == 0 {
		c.status = status
	}
	c.ResponseWriter.WriteHeader(status)
}

func (c *counter) Write(p []byte) (int, error) {
	if c.status == 0 {
		c.status = http.StatusOK
	}
	n, err := c.ResponseWriter.Write(p)
	c.bytes += int64(n)
	return n, err
}

// Unwrap lets http.ResponseController reach the connection.
func (c *counter) Unwrap() http.ResponseWriter { return c.ResponseWriter }

// serve answers requests on a listener until ctx ends, then finishes those
// that were begun. The name is another name of this host, or empty; the page is that for phones, or
// nil.
func serve(ctx context.Context, ln net.Listener, lim limits, name string, page []byte, log *slog.Logger) error {
	srv := &http.Server{
		Handler:           newHandler(lim, name, page, log),
		ReadHeaderTimeout: lim.header,
		ReadTimeout:       lim.read,
		WriteTimeout:      lim.write,
		IdleTimeout:       lim.idle,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(discardAddresses{log.Handler()}, slog.LevelWarn),
	}
	log.Info("listening", "address", ln.Addr().String())
	failed := make(chan error, 1)
	go func() { failed <- srv.Serve(newBoundedListener(ln, lim.connections)) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	log.Info("stopping", "cause", context.Cause(ctx).Error())
	grace, cancel := context.WithTimeout(context.Background(), lim.shutdown)
	defer cancel()
	err := srv.Shutdown(grace)
	if err != nil {
		srv.Close()
		err = fmt.Errorf("requests were cut off: %w", err)
	}
	<-failed
	log.Info("stopped")
	return err
}

// discardAddresses logs that a connection failed, without its address.
type discardAddresses struct{ slog.Handler }

func (d discardAddresses) Handle(ctx context.Context, r slog.Record) error {
	r.Message = "a connection failed"
	return d.Handler.Handle(ctx, r)
}
