// Plucks outlast a page that is loaded again, as its links do.
const KEPT = 'pluckweigh plucks', MOST = 40;

export function keptPlucks() {
  try {
    return (JSON.parse(sessionStorage.getItem(KEPT)) || []).map((p) => ({ ...p, id: 0, run: -1, ringing: false }));
  } catch {
    return [];
  }
}

export function keepPlucks(all) {
  try {
    sessionStorage.setItem(KEPT, JSON.stringify(all.slice(-MOST)));
  } catch { /* they are there while the page is */ }
}
