import { mount } from 'svelte'
import App from './App.svelte'
import './style/page.css'
import './style/print.css'

mount(App, { target: document.getElementById('page')! })
