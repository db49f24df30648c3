// What JupyterLab loads first: hands it the plugin in plugin.js. No build step; `scope` holds what it shares.
(() => {
  const here = document.currentScript.src;
  let scope;

  async function shared(name) {
    const versions = Object.values(scope[name]);
    return (await versions[versions.length - 1].get())();
  }

  globalThis._JUPYTERLAB = globalThis._JUPYTERLAB || {};
  globalThis._JUPYTERLAB.kilncalc = {
    init: (given) => {
      scope = given;
    },
    get: async () => {
      const { plugin } = await import(new URL("plugin.js", here));
      const made = { __esModule: true, default: await plugin(shared, new URL("page.css", here)) };
      return () => made;
    },
  };
})();
