// Command serve shows the shop's page on this machine: start the service, then this, and open the address it prints.
package main

import (
	"flag"
	"fmt"
	"log"
	"net"
	"net/http"
	"time"

	"saltwright/clients/js/demo"
)

func main() {
	log.SetFlags(0)
	addr := flag.String("addr", "127.0.0.1:8081", "where the shop listens")
	service := flag.String("service", "http://127.0.0.1:8080", "the service its widgets come from")
	flag.Parse()
	shop, err := demo.New(*service)
	if err != nil {
		log.Fatal(err)
	}
	listener, err := net.Listen("tcp", *addr)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("the shop is at http://%s\n", listener.Addr())
	server := &http.Server{
		Handler: shop, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second,
		WriteTimeout: 10 * time.Second,
	}
	log.Fatal(server.Serve(listener))
}
