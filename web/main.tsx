import { render } from 'preact';
import './styles/tokens.css';
import './styles/base.css';
import { App, fetchOtherPages } from './pages/app.tsx';
import { startAnnouncing } from './store/announce.ts';
import { startDashboard } from './store/dashboard.ts';
import { startNavigation } from './store/navigation.ts';
import { followSystemColours } from './store/preferences.ts';

const root = document.getElementById('app');
if (root === null) throw new Error('index.html has no element with the id "app" to show the dashboard in');
startNavigation();
followSystemColours();
startDashboard();
startAnnouncing();
root.replaceChildren();
render(<App />, root);
fetchOtherPages();
