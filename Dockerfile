FROM golang:1.26 AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY api api
COPY clients clients
COPY cmd cmd
COPY internal internal
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w -buildid=" -o / ./cmd/saltwright ./clients/bot/cmd/saltwright-bot

# The bot, by --target bot; its settings are variables, see clients/bot.
FROM scratch AS bot
COPY --from=build /saltwright-bot /saltwright-bot
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/ca-certificates.crt
USER 65532:65532
EXPOSE 8090
ENTRYPOINT ["/saltwright-bot"]
CMD ["-addr", ":8090"]

# One static binary and the roots of TLS: no shell, no package, nothing to write.
FROM scratch
COPY --from=build /saltwright /saltwright
# For a limit store or a collector of traces behind TLS.
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/ca-certificates.crt
USER 65532:65532
EXPOSE 8080 9090
HEALTHCHECK --interval=10s --timeout=3s CMD ["/saltwright", "--check", "http://127.0.0.1:9090/healthz"]
ENTRYPOINT ["/saltwright"]
CMD ["--addr", ":8080", "--admin-addr", ":9090"]
