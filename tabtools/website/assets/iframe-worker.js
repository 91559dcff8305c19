/* Browsers start no worker from a disk. There, what the theme would have a worker do, such as searching, a hidden frame
   does. The theme's worker asks for `IFrameWorker` in the page around it, and then loads languages by a promise. */
"use strict";

if (location.protocol === "file:") {
  const Native = window.Worker;

  const scriptIn = (frame, address) => new Promise((resolve, reject) => {
    const script = frame.contentDocument.createElement("script");
    script.src = address;
    script.onload = resolve;
    script.onerror = reject;
    frame.contentDocument.head.append(script);
  });

  class IFrameWorker extends EventTarget {
    constructor(address, options) {
      super();
      const url = new URL(address, document.baseURI);
      if (url.protocol !== "file:") return new Native(address, options);
      this.frame = document.createElement("iframe");
      this.frame.hidden = true;
      this.frame.title = "Worker";
      this.frame.srcdoc = "<!doctype html><title>Worker</title>";
      this.ready = new Promise(resolve => this.frame.addEventListener("load", resolve, { once: true }))
        .then(() => this.start(url));
      document.body.append(this.frame);
    }

    async start(url) {
      const inside = this.frame.contentWindow;
      inside.postMessage = data => this.dispatchEvent(new MessageEvent("message", { data }));
      inside.importScripts = async (...addresses) => {
        for (const one of addresses) await scriptIn(this.frame, new URL(one, url));
      };
      await scriptIn(this.frame, url);
    }

    async postMessage(data) {
      await this.ready;
      const inside = this.frame.contentWindow;
      inside.dispatchEvent(new inside.MessageEvent("message", { data }));
    }

    terminate() {
      this.frame.remove();
    }
  }

  window.Worker = window.IFrameWorker = IFrameWorker;
}
