/** The bare floor: serial line, line reader, websocket, no logic. Arguments: the paths of the ports. */
import { ReadlineParser } from "@serialport/parser-readline";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { SerialPort } from "serialport";
import { WebSocketServer } from "ws";

let lines = 0;
const http = createServer((_request, response) => response.end(String(lines)));
const sockets = new WebSocketServer({ server: http });
for (const path of process.argv.slice(2)) {
  const port = new SerialPort({ path, baudRate: 9600 });
  port.pipe(new ReadlineParser({ delimiter: "\r\n" })).on("data", (line: string) => {
    lines += 1;
    for (const socket of sockets.clients) if (socket.bufferedAmount < 65_536) socket.send(line);
  });
}
http.listen(0, "127.0.0.1", () => {
  console.log(`listening on http://127.0.0.1:${(http.address() as AddressInfo).port}`);
});
