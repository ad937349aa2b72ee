// The key stands behind the # of the address, where no server and no log sees it. It is given for
// a cookie, and taken out of the address.

const key = location.hash.slice(1);
const said = document.getElementById("said");

async function enter() {
  if (key) {
    const answer = await fetch("/enter", {
      method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ key }),
    });
    history.replaceState(null, "", "/");
    if (!answer.ok) throw new Error(await answer.text());
  }
  location.replace("/session");
}

enter().catch((problem) => {
  said.textContent = `It can't be opened: ${problem.message}`;
});
