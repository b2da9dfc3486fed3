/**
 * Shows messages that arrive while no page is open, and opens the page when one is tapped. It caches nothing: an old page that
 * looks alive would be worse than none.
 */
self.addEventListener('push', (event) => {
  event.waitUntil(show(event.data));
});

self.addEventListener('notificationclick', (event) => {
  event.notification.close();
  event.waitUntil(open(event.action || event.notification.data));
});

/** Something is shown for every push, whatever it holds: browsers take the permission away otherwise. */
function show(data) {
  let message = {};
  try {
    message = data.json() ?? {};
  } catch {
    // Empty, or not ours: then it only says to look.
  }
  const { title = 'Quietkeg', body = 'Look at your kegs.', tag = 'quietkeg', level, link, acknowledgeLink } = message;
  const options = { body, tag, icon: '/icon.svg', data: pathOf(link), requireInteraction: level === 'urgent' };
  // It opens a page with a button: on a phone in a pocket a tap happens by mistake too easily.
  if (acknowledgeLink !== undefined) options.actions = [{ action: pathOf(acknowledgeLink), title: 'Acknowledge …' }];
  return self.registration.showNotification(title, options);
}

/** A page that is open already is brought to the front; a message cannot lead anywhere but to our own pages. */
async function open(path) {
  const pages = await self.clients.matchAll({ type: 'window', includeUncontrolled: true });
  const [page] = pages;
  if (page === undefined) return self.clients.openWindow(path);
  await page.focus();
  // A page that was opened before this worker cannot be led; it shows the alert anyway.
  await page.navigate(path).catch(() => undefined);
}

function pathOf(link) {
  try {
    return new URL(link).pathname;
  } catch {
    return '/alerts';
  }
}
