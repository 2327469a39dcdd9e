package main

import (
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"sync"
	"time"
)

// boundedListener keeps at most a given number of connections open. A further connection gets
// an error at once and is closed, so that it takes no lasting memory.
type boundedListener struct {
	net.Listener
	places  chan struct{}
	refusal []byte
}

func newBoundedListener(ln net.Listener, connections int) *boundedListener {
	body, _ := json.Marshal(newProblem(http.StatusServiceUnavailable, "too many connections at a time"))
	return &boundedListener{ln, make(chan struct{}, connections), fmt.Appendf(nil,
		"HTTP/1.1 503 Service Unavailable\r\nContent-Type: application/problem+json\r\nContent-Length: %d\r\nRetry-After: 1\r\nConnection: close\r\n\r\n%s", len(body), body)}
}

// Accept returns the next connection for which there is a place.
func (l *boundedListener) Accept() (net.Conn, error) {
	for {
		c, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		select {
		case l.places <- struct{}{}:
			return &placedConn{Conn: c, leave: sync.OnceFunc(func() { <-l.places })}, nil
		default:
			// The answer fits into the buffers of a new connection without waiting.
			c.SetWriteDeadline(time.Now().Add(time.Second))
			c.Write(l.refusal)
			c.Close()
		}
	}
}

// placedConn is a connection that frees its place when it is closed.
type placedConn struct {
	net.Conn
	leave func()
}

func (c *placedConn) Close() error {
	err := c.Conn.Close()
	c.leave()
	return err
}
