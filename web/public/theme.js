// Runs before the first paint, so that a page chosen dark never flashes white. The settings page writes these keys.
try {
  const theme = localStorage.getItem('quietkeg-theme');
  if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;
  const contrast = localStorage.getItem('quietkeg-contrast');
  if (contrast === 'more' || contrast === 'normal') document.documentElement.dataset.contrast = contrast;
} catch {
  // Storage may be forbidden: the page then follows the system.
}
