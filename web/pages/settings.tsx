export function SettingsPage() {
  return <p>Settings</p>;
}
