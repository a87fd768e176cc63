/** Version of the websocket's messages. A page that meets another one reloads itself. */
export const wireVersion = 1;
