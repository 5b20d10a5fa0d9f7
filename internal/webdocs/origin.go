package webdocs

import "net"

// Origin is where the service is reached, as commands on the pages name it.
type Origin struct {
	Public string // the operator's own address of it, without a final slash; empty where there is none
	Listen string // host and port that it listens on; empty: DefaultListen
}

// DefaultListen is where the program listens unless it is told otherwise.
const DefaultListen = "127.0.0.1:8080"

// address is the beginning of every address in a command.
func (o Origin) address() string {
	if o.Public != "" {
		return o.Public
	}
	host, port, err := net.SplitHostPort(o.Listen)
	if err != nil {
		return "http://" + DefaultListen
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		host = "localhost"
	}
	return "http://" + net.JoinHostPort(host, port)
}

// originMark stands where a command needs this host.
const originMark = "http://" + DefaultListen
