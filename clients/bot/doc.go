// Package bot answers sizing questions that people write in a forum or a chat: it
// reads free text, asks back for what is missing, asks the service and renders the
// answer. It knows no platform and no HTTP: adapters (standardwebhooks, forumwebhook,
// interactions) bring events and carry replies, package service asks the service.
//
//	event ──▶ Bot.Take: guard ──▶ queue ──▶ Read ──▶ Service.Ask ──▶ Render ──▶ Send
//	          own, bot, edit,               ask back               dialect, cap,
//	          again, too many               when unsure            mentions dead
//
// It keeps a text only until it is answered. An incomplete question is answered with the whole line to send
// again, the person's own values in it, so that nothing needs to be remembered.
package bot
