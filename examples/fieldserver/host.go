package main

import (
	"net"
	"net/http"
	"net/netip"
	"strings"
)

// hostCheck accepts only requests that name this service in their Host header: a loopback
// name or address, the address at which the connection arrived, or the name on which it
// listens. It refuses a page of a foreign site whose name was resolved to this machine (DNS
// rebinding).
func hostCheck(name string, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		local, _ := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
		if !ownHost(r.Host, name, local) {
			newProblem(http.StatusMisdirectedRequest, "the Host header must be localhost, a loopback address, or the address that the service listens on").write(w)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// ownHost reports whether a Host header names this service. The port is not compared, because
// it may be forwarded.
func ownHost(header, name string, local net.Addr) bool {
	host, _, err := net.SplitHostPort(header)
	if err != nil {
		host = strings.TrimSuffix(strings.TrimPrefix(header, "["), "]")
	}
	if host == "" {
		return false
	}
	if strings.EqualFold(host, "localhost") || strings.EqualFold(host, name) {
		return true
	}
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return false
	}
	if ip = ip.Unmap(); ip.IsLoopback() {
		return true
	}
	arrived, ok := local.(*net.TCPAddr)
	return ok && arrived.AddrPort().Addr().Unmap().WithZone("") == ip.WithZone("")
}
