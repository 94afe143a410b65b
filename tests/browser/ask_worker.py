"""A question to the page's service worker, and its answer."""

ASK = """async (message) => {
  const { active } = await navigator.serviceWorker.ready;
  return new Promise((answered) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = (event) => answered(event.data);
    active.postMessage(message, [port2]);
  });
}"""
